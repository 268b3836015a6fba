"""What is wrong with one row of a product table is found wherever the row stands."""

from itertools import permutations

import pytest

from rasterc.api import load
from rasterc.checks.coverage import How
from rasterc.checks.model import EXAMPLE_PROFILE
from rasterc.checks.registry import active_rules
from rasterc.checks.rows import MAX_WHOLE
from rasterc.checks.subject import MAX_CASES
from rasterc.checks.survey import survey
from rasterc.profile.load import parse_profile

LIVES = """
  clock best = packed + products.life months
  block { line: "BEST BEFORE " best(dd.MM.yyyy) " " sku }
"""
LANGUAGES = """
  clock best = packed + 200 days
  block { line: products.lead " " best(dd MMM yyyy, in products.language, upper, no-points) }
"""
LEADS = """
  clock best = packed + 3 years
  block { line: products.lead " " best(dd.MM.yyyy) }
"""
SPLIT = """
  clock best = packed + 3 years
  block { line: products.verb " BY " best(dd.MM.yyyy) }
"""
BEFORE = """
  clock best = packed - 3 days
  block { line: products.lead " " best(dd.MM.yyyy) }
"""
ENGLISH = "BEST BEFORE,en"
FRENCH = "A CONSOMMER DE PREFERENCE AVANT LE,fr"
MIXED = "BEST BEFORE,fr"
WRONG_ROWS = [
    ("life-implausible", LIVES, "life", ["7", "270", "720"]),
    ("mixed-languages", LANGUAGES, "lead,language", [ENGLISH, FRENCH, MIXED]),
    ("life-implausible", LEADS, "lead", ["BEST BEFORE", "USE BY", "MINDESTENS HALTBAR BIS"]),
    ("life-implausible", SPLIT, "verb", ["PACKED", "USE", ""]),
    ("expired-when-made", BEFORE, "lead", ["PACKED", "USE BY", ""]),
]  # fmt: skip


def surveyed(folder, body, columns, rows, picks="input sku"):
    table = "".join(f"{number},{row}\n" for number, row in enumerate(rows, 1))
    (folder / "p.csv").write_text(f"sku,{columns}\n{table}")
    (folder / "m.rasterc").write_text(
        f"""message m {{
  raster 16
  font upright-7
  clock packed in "Europe/Dublin"
  {picks}
  table products from "p.csv" by sku
{body}}}"""
    )
    given = {"inputs": {"sku": "1"}} if picks.startswith("input") else {}
    resolved = load(folder / "m.rasterc").resolve("2027-11-25 14:05", **given)
    return survey(resolved.subject(parse_profile(EXAMPLE_PROFILE)), 2)


def told(found, rule):
    return [finding for finding in found.report.findings if finding.rule == rule]


def proved(found):
    return {one.rule for one in found.coverage.rules if one.how is How.PROVED}


@pytest.mark.parametrize("order", list(permutations(range(3))))
@pytest.mark.parametrize(("rule", "body", "columns", "rows"), WRONG_ROWS)
def test_a_wrong_row_is_found_in_any_order(tmp_path, rule, body, columns, rows, order):
    # common practice, no source: the same table tells the same, however it is sorted
    found = surveyed(tmp_path, body, columns, [rows[i] for i in order])
    assert told(found, rule)
    right = [row for row in rows if not told(surveyed(tmp_path, body, columns, [row]), rule)]
    assert right
    assert not told(surveyed(tmp_path, body, columns, right), rule)


@pytest.mark.parametrize("order", list(permutations(range(3))))
def test_a_wrong_row_that_a_counter_picks_is_found(tmp_path, order):
    rule, body, columns, rows = WRONG_ROWS[1]
    rows = [rows[i] for i in order]
    found = surveyed(tmp_path, body, columns, rows, "counter sku from 1 to 3, at end wrap")
    assert told(found, rule)


@pytest.mark.parametrize("place", [0, 1, 70, 119])
def test_a_wrong_lead_is_found_among_many_names(tmp_path, place):
    rows = [f"BEST BEFORE,NAME {chr(65 + n % 26)}{chr(65 + n // 26)}" for n in range(120)]
    assert len(rows) > MAX_WHOLE
    rows[place] = rows[place].replace("BEST BEFORE", "USE BY")
    body = LEADS.replace("block { line: ", "block { line: products.name(upper) line: ")
    assert told(surveyed(tmp_path, body, "lead,name", rows), "life-implausible")


def test_with_more_names_than_are_looked_at_no_rule_of_words_is_proved(tmp_path):
    rows = [f"NAME {chr(65 + n % 26)}{chr(65 + n // 26)}" for n in range(MAX_WHOLE + 1)]
    body = """
  clock best = packed + 200 days
  block { line: products.name line: "BEST BEFORE " best(dd.MM.yyyy) }
"""
    of_words = {rule.id for rule in active_rules(None).values() if rule.reads_words}
    found = proved(surveyed(tmp_path, body, "name", rows))
    assert found
    assert not found & of_words


def test_with_too_many_numbers_nothing_that_reads_the_message_is_proved(tmp_path):
    body = 'block { line: products.number " " packed(yyDDD) }'
    few = surveyed(tmp_path, body, "number", ["1000001", "1000002"])
    many = surveyed(tmp_path, body, "number", [f"{1_000_000 + n}" for n in range(MAX_CASES + 1)])
    assert "ambiguous-date" in proved(few)
    assert "ambiguous-date" not in proved(many)
