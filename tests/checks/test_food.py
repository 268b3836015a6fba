"""The limits of the rules eu-food, to the day and to the micrometre.

Regulation (EU) No 1169/2011, Articles 13 and 24, Annex X; Directive 2011/91/EU, Article 3. Calendar
months are worked out with dateutil.
"""

from datetime import date

import pytest
from dateutil.relativedelta import relativedelta

from rasterc.checks.model import EXAMPLE_PROFILE

MADE = date(2027, 11, 25)
BEST = """
clock packed in "Europe/Dublin"
clock best = packed + {life}
block {{ line: "{words} " best({pattern}) }}
"""


def food(bench, rule, pattern, days=None, life="30 days", words="BEST BEFORE", **line):
    product = f"shelf_life_days = {days}\n" if days else ""
    body = BEST.format(life=life, words=words, pattern=pattern)
    return bench.findings(body, rule, rules=["eu-food"], product=product, **line)


@pytest.mark.parametrize(("months", "first", "last"), [(3, 89, 92), (18, 546, 550)])
def test_so_many_days_are_as_many_months_on_some_days_only(bench, months, first, last):
    """Worked out with dateutil for every day of four years."""
    days = [MADE + relativedelta(days=n) for n in range(1461)]
    spans = {(day + relativedelta(months=months) - day).days for day in days}
    assert (min(spans), max(spans)) == (first, last)
    for pattern in ("dd MMM", "MMM yyyy") if months == 3 else ("MMM yyyy", "yyyy"):
        for number in (first, last):
            assert food(bench, "date-form", pattern, number) == []


@pytest.mark.parametrize(
    ("pattern", "days", "missing"),
    [
        ("dd MMM", 88, None),
        ("dd MMM", 93, "year"),
        ("MMM yyyy", 88, "day"),
        ("MMM yyyy", 93, None),
        ("MMM yyyy", 545, None),
        ("MMM yyyy", 551, None),
        ("yyyy", 545, "month"),
        ("yyyy", 551, None),
        ("yyyy", 88, "month"),
        ("dd MMM yyyy", 88, None),
        ("dd MMM yyyy", 551, None),
    ],
)
def test_the_form_of_the_date_against_the_shelf_life_to_the_day(bench, pattern, days, missing):
    found = food(bench, "date-form", pattern, days)
    if missing is None:
        assert found == []
    else:
        [finding] = found
        assert f"lacks the {missing}" in finding.message
        assert finding.measured == days
        assert "print the" in finding.remedy


@pytest.mark.parametrize(
    ("life", "pattern", "missing"),
    [
        ("3 months", "MMM yyyy", True),
        ("3 months + 1 day", "MMM yyyy", False),
        ("3 months to month end", "MMM yyyy", True),  # the moves are left out
        ("18 months", "yyyy", True),
        ("18 months + 1 day to year end", "yyyy", False),
    ],
)
def test_without_a_stated_shelf_life_the_clock_tells_it(bench, life, pattern, missing):
    assert bool(food(bench, "date-form", pattern, life=life)) is missing


HEIGHT = 'clock packed in "UTC"\nclock best = packed + 30 days\nblock { line: best(dd MMM yyyy%s) }'


@pytest.mark.parametrize(
    ("small", "rows", "surface", "limit"),
    [
        (False, 7, None, 1.2),  # capitals and digits of upright-7: 7 rows
        (True, 5, None, 1.2),  # its x: 5 rows
        (True, 5, 80, 1.2),
        (True, 5, 79.9, 0.9),
        (False, 7, 79.9, 0.9),
    ],
)
def test_the_x_height_is_held_to_its_limit(bench, small, rows, surface, limit):
    dot = 0.3

    def found(pitch):
        line = EXAMPLE_PROFILE.replace("row_pitch_mm = 0.35", f"row_pitch_mm = {pitch}")
        line = line.replace("dot_diameter_mm = 0.4", f"dot_diameter_mm = {dot}")
        extra = f"largest_surface_cm2 = {surface}\n" if surface else ""
        return bench.findings(
            HEIGHT % ("" if small else ", upper"), "x-height",
            profile=line, rules=["eu-food"], product=extra,
        )  # fmt: skip

    exact = (limit - dot) / (rows - 1)
    assert found(exact) == []
    [finding] = found(exact - 0.0005)
    assert finding.limit == limit
    assert finding.measured == pytest.approx((rows - 1) * (exact - 0.0005) + dot)
    assert ("small letters" in finding.message) is small


def test_a_use_by_date_carries_its_day(bench):
    for words in ("USE BY", "ZU VERBRAUCHEN BIS", "À CONSOMMER JUSQU'AU"):
        [finding] = food(bench, "use-by-day", "MMM yyyy", words=words, raster=16)
        assert "dd MMM yyyy" in finding.remedy
        assert food(bench, "use-by-day", "dd MMM", words=words, raster=16) == []


@pytest.mark.parametrize(
    ("pattern", "wrong"),
    [
        ("dd MMM yyyy", False), ("dd/MM/yyyy", False), ("MMM yyyy", False), ("yyyy", False),
        ("dd MMM", False), ("yyyy-MM-dd", True), ("MM/dd/yyyy", True), ("yyyy DDD", True),
        ("YYYY'W'ww", True),
    ],
)  # fmt: skip
def test_the_date_is_day_month_year_and_uncoded(bench, pattern, wrong):
    assert bool(food(bench, "date-order", pattern)) is wrong


def test_dates_without_a_day_are_introduced_as_the_end(bench):
    assert food(bench, "best-before-end", "dd MMM yyyy") == []
    [finding] = food(bench, "best-before-end", "MMM yyyy")
    assert '"BEST BEFORE END"' in finding.remedy
    assert food(bench, "best-before-end", "MMM yyyy", words="BEST BEFORE END") == []
    [finding] = food(bench, "best-before-end", "MMM yyyy", words="Mindestens haltbar bis")
    assert "ENDE" in finding.remedy


LOT = """
clock packed in "UTC"
clock best = packed + 9 months to month end
block {{ line: "BEST BEFORE END " best({date}) "{before}" packed(yyDDD) }}
"""


def test_a_lot_has_its_l_or_a_date_stands_for_it(bench):
    def lot(before, date="MMM yyyy"):
        return bench.findings(LOT.format(before=before, date=date), "lot-mark", rules=["eu-food"])

    [finding] = lot(" ")
    assert 'the lot "27329" has no L before it' in finding.message
    assert '"L"' in finding.remedy
    for before in (" L", " L ", " LOT ", " Lot: ", " BATCH NO. "):
        assert lot(before) == []
    assert lot(" ", "dd MMM yyyy") == []
    assert lot(" ", "yyyy") != []


def test_a_date_of_month_and_year_never_stands_for_the_lot(bench):
    def lot(date, surface=""):
        body = LOT.format(before=" ", date=date)
        return bench.findings(body, "lot-mark", rules=["eu-food"], product=surface)

    assert lot("MM/yyyy")
    assert lot("yyyy-MM-dd")  # the order is day, month
    assert lot("dd.MM.") == []
    # Directive 2011/91/EU: not where the largest side is under 10 cm2
    assert lot("MM/yyyy", "largest_surface_cm2 = 9.9\n") == []
    assert lot("MM/yyyy", "largest_surface_cm2 = 10\n")


def test_the_rules_are_only_asked_for_by_the_profile(bench):
    body = BEST.format(life="30 days", words="USE BY", pattern="MMM yyyy")
    assert bench.findings(body, "use-by-day", rules=["eu-food"])
    assert not bench.findings(body, "use-by-day", rules=["eu-medicine"])
    assert not bench.findings(body, "use-by-day")


def test_the_law_settles_the_order_of_day_and_month(bench):
    assert food(bench, "ambiguous-date", "dd/MM/yyyy") == []
    body = BEST.format(life="30 days", words="BEST BEFORE", pattern="dd/MM/yyyy")
    assert bench.findings(body, "ambiguous-date")
