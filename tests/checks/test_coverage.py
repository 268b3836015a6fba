"""What a verdict covers, and that what is called proved holds for every value."""

from datetime import UTC, timedelta

import pytest

from rasterc.checks.coverage import How, coverage
from rasterc.checks.lives import life_instants
from rasterc.checks.printed.dates import marks
from rasterc.checks.printed.durability import dates_of, last_day_read
from rasterc.checks.registry import active_rules
from rasterc.checks.survey import survey

BODY = """
  clock packed in "Europe/Dublin", day from 06:00
  clock best = packed {life}
  block {{ line: "BEST BEFORE " best({pattern}) }}
  {more}
"""


def how(found, rule):
    return {one.how for one in found.rules if one.rule == rule}


@pytest.mark.parametrize(
    ("life", "pattern"),
    [
        ("+ 3 months", "dd MMM yyyy"), ("+ 90 days to month end", "dd MMM yyyy"),
        ("+ 40 days", "MMM yyyy"), ("+ 2 weeks to previous friday", "dd MMM yyyy"),
    ],
)  # fmt: skip
def test_the_nearest_and_farthest_dates_are_those_of_every_day(bench, life, pattern):
    """Against each day of two years, resolved on its own."""
    subject = bench.subject(BODY.format(life=life, pattern=pattern, more=""))

    def ahead(when):
        other = subject.moved(when)
        [mark] = marks(other)
        life = dates_of(other, mark.clock)
        return (last_day_read(mark, life.stated) - life.made).days

    start = subject.when.astimezone(UTC)
    every = {ahead(start + timedelta(days=day)) for day in range(2 * 365)}
    found = {ahead(when) for when in life_instants(subject, 2)}
    assert min(found) == min(every)
    assert max(found) == max(every)


def test_a_life_that_is_too_long_on_some_days_only_is_found(bench):
    body = BODY.format(life="+ 3 months, short month last-day", pattern="dd MMM yyyy", more="")
    # 1 March to 1 June are 92 days, 30 November to 28 February 90
    for days, rules in ((92, set()), (91, {"beyond-shelf-life"})):
        subject = bench.subject(body, product=f"shelf_life_days = {days}\n")
        found = survey(subject, 2)
        assert {f.rule for f in found.report.findings} - {"missing-expect"} == rules
        assert how(found.coverage, "beyond-shelf-life") == {How.PROVED}


def test_every_rule_and_every_limit_is_told_of(bench):
    limits = "require drops >= 20\n  require height >= 1 mm"
    body = BODY.format(life="+ 60 days", pattern="dd MMM yyyy HH:mm", more=limits)
    subject = bench.subject(body, rules=["eu-food"])
    covered = survey(subject, 1).coverage
    rules = [one.rule for one in covered.rules if not one.limit]
    assert sorted([*rules, "require"]) == sorted(active_rules(subject.profile))
    limits = {one.limit: one.how for one in covered.rules if one.limit}
    assert limits == {"drops >= 20": How.PROVED, "height >= 1 mm": How.PROVED}
    assert covered.said.startswith(f"{covered.number(How.PROVED)} rules proved over ")
    assert f" looked at in {covered.prints:,} prints" in covered.said
    assert how(covered, "ambiguous-date") == {How.PROVED}
    assert how(covered, "print-window") == {How.PROVED}
    assert how(covered, "repeated-hour") == {How.LOOKED_AT}
    assert how(covered, "expired-when-made") == {How.LOOKED_AT}  # the date has its hour


def test_one_instant_proves_no_limit_and_says_so(bench):
    body = BODY.format(life="+ 60 days", pattern="dd MMM yyyy", more="require drops >= 20")
    covered = coverage(bench.subject(body), (), 1)
    assert how(covered, "require") == {How.LOOKED_AT}
    assert how(covered, "print-window") == {How.LOOKED_AT}
    assert how(covered, "ambiguous-date") == {How.PROVED}
    assert covered.said.startswith("this instant only: ")
    assert "--all" in covered.said


def test_what_needs_a_profile_is_not_called_checked(bench):
    body = BODY.format(life="+ 60 days", pattern="dd MMM yyyy", more="require length <= 90 mm")
    subject = bench.subject(body)
    bare = type(subject)(subject.plan, subject.resolved, subject.fonts, subject.layout)
    covered = survey(bare, 1).coverage
    assert how(covered, "print-window") == how(covered, "require") == {How.NOT_CHECKED}
    assert f"{covered.number(How.NOT_CHECKED)} need a line profile" in covered.said


def test_words_that_an_input_gives_are_only_looked_at(bench):
    body = """
      input words one of "BEST BEFORE " "PACKED ", default "BEST BEFORE "
      clock packed in "Europe/Dublin"
      clock best = packed + 60 days
      block { line: words best(dd MMM yyyy) }
    """
    covered = survey(bench.subject(body), 1).coverage
    assert how(covered, "two-leads") == how(covered, "packed-ahead") == {How.LOOKED_AT}
    assert how(covered, "week-year") == {How.PROVED}


def test_a_bound_proves_no_limit(bench):
    body = """
      clock packed in "UTC"  counter case from 0 to 999999
      check sum = gs1-mod10 of packed(HHmm) case(000000)
      block { line: "A" packed(HHmm) case(000000) sum }
      require drops >= 1
    """
    found = survey(bench.subject(body), 1)
    assert how(found.coverage, "require") == {How.LOOKED_AT}


def test_a_font_that_lacks_a_character_of_one_value_is_found_whatever_the_sample(bench):
    body = 'input mark one of "A" "\\u{2665}", default "A" block { line: "LOT " mark "-7" }'
    found = survey(bench.subject(body, at=None), 1)
    assert "missing-glyph" in {f.rule for f in found.report.findings}
    assert how(found.coverage, "missing-glyph") == {How.PROVED}


def test_the_document_tells_it_by_rule(program, tmp_path):
    file = tmp_path / "m.rasterc"
    file.write_text('message m { raster 7 font upright-7 block { line: "LOT 7" } }', "utf-8")
    import json

    document = json.loads(program("check", file, "--all", "--json").out)
    [message] = document["messages"]
    told = message["coverage"]
    assert (told["strings"], told["strings_said"]) == (1, "1")
    assert {"rule": "look-alike", "limit": None, "how": "proved"} in told["rules"]


SUNDAYS = """
  clock packed in "Europe/Dublin"
  table rest { 7 -> "SUNDAY" other -> " " }
  block { line: "L" packed(yyDDD)  line font upright-5: packed(e, table rest) }
"""


def test_a_line_that_is_blank_at_the_instant_is_measured_too(bench):
    thursday, sunday = (
        [f.message for f in bench.findings(SUNDAYS, "character-matrix", at=at, raster=16)]
        for at in ("2027-11-25 14:05", "2027-11-28 14:05")
    )
    assert thursday == sunday
    assert len(thursday) == 1
