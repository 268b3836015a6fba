"""Dates that are typed, against the day of printing and their limits."""

import pytest

NOW = 'clock now in "Europe/Madrid"\n'
SOONEST = "clock soonest = now + 1 year\n"
LINE = 'block { line: "EXP " expiry(MM/yyyy) " L" now(yyDDD) }\n'


def expiry(limits, more=""):
    comma = ", " if limits else ""
    return f'{NOW}{more}input expiry date "dd.MM.yyyy"{comma}{limits}\n{LINE}'


@pytest.mark.parametrize(
    ("limits", "typed"),
    [
        ("within 5 years after now, not before soonest", "25.11.2028"),
        ("within 5 years after now, not before soonest", "30.11.2028"),  # the month ends
        ("within 5 years after now", "25.11.2027"),
        ("within 5 years after now", "30.11.2027"),
        ("not before now", "31.12.2027"),
    ],
)
def test_a_typed_expiry_is_no_day_of_production(bench, limits, typed):
    body = expiry(limits, SOONEST)
    assert bench.findings(body, "expired-when-made", inputs={"expiry": typed}) == []


@pytest.mark.parametrize("counted", ["", " to month end"])
def test_a_typed_expiry_that_is_moved_is_no_day_of_production(bench, counted):
    body = expiry("within 5 years after now").replace("expiry(MM", "last(MM")
    body = body.replace("block", f"clock last = expiry{counted} + 0 days\nblock")
    found = bench.findings(body, "expired-when-made", inputs={"expiry": "30.11.2028"})
    assert found == []


def test_limits_that_keep_every_expiry_behind_are_found(bench):
    body = expiry("within 3 years before earlier", "clock earlier = now - 2 months\n")
    [found] = bench.findings(body, "expired-when-made", inputs={"expiry": "25.09.2027"})
    assert found.measured == -56  # 30 September to 25 November
    assert "look at the limits of input expiry" in found.remedy


def test_what_is_counted_back_from_a_typed_day_is_found(bench):
    body = (
        'clock packed in "UTC"\ninput made date "dd.MM.yy", within 3 days before packed\n'
        "clock best = made {} 12 months\n"
        'block {{ line: "BEST BEFORE " best(dd MMM yyyy) " L" packed(yyDDD) }}'
    )
    typed = {"made": "24.11.27"}
    [found] = bench.findings(body.format("-"), "expired-when-made", inputs=typed)
    assert "write clock best = made + 12 months" in found.remedy
    assert bench.findings(body.format("+"), "expired-when-made", inputs=typed) == []


@pytest.mark.parametrize(
    ("clock", "remedy"),
    [
        ("packed - 12 months", "write clock best = packed + 12 months"),
        ("packed - 5 days", "write clock best = packed + 5 days"),
        ("packed to month start", "count best forward"),
        ("packed + 3 days - 9 days", "count best forward"),  # which of them is wrong is not known
        ("start of crew - 9 days", "write clock best = start of crew + 9 days"),
    ],
)
def test_a_date_counted_back_never_changes_places_with_what_it_is_counted_from(
    bench, clock, remedy
):
    body = (
        'clock packed in "Europe/Copenhagen", day from 06:00\n'
        'shift crew of packed { "A" from 06:00 "B" from 18:00 }\n'
        f"clock best = {clock}\n"
        'block { line: "BEDST FØR " best(dd.MM.yyyy) " PARTI " packed(yyDDD) " " crew }'
    )
    [found] = bench.findings(body, "expired-when-made")
    assert found.remedy.startswith(remedy)


def test_a_typed_day_of_production_in_the_place_of_the_date_counted_from_it(bench):
    body = (
        'clock now in "UTC"\ninput made date "dd.MM.yy", within 3 days before now\n'
        "clock best = made + 60 days\n"
        'block { line: "EXP " made(dd MMM yyyy) " PACKED " best(dd MMM yyyy) " " now(HH:mm) }'
    )
    [found] = bench.findings(body, "expired-when-made", inputs={"made": "24.11.27"})
    assert found.remedy.startswith("let made and best change places")


def best(limits):
    return (
        'clock packed in "Europe/Dublin"\nclock early in "UTC", day from 06:00\n'
        f'input made date "dd.MM.yy"{limits}\nclock best = made + 9 days\n'
        'block { line: "USE BY " best(dd MMM yyyy) " L" packed(yyDDD) " " early(HH:mm) }'
    )


@pytest.mark.parametrize(
    ("limits", "found"),
    [
        ("", {"typed-date-open"}),
        (", not before packed", {"typed-date-open"}),
        (", within 9 days before packed", set()),  # the date is then the day of packing
        (", within 10 days before packed", {"typed-date-past"}),
        (", within 1 day after packed", {"typed-date-ahead"}),
        (", not after packed", {"typed-date-past"}),
        (", not after 2028-01-01", {"typed-date-ahead", "typed-date-past"}),
        (", not after 2027-11-25, not before 2027-11-16", set()),
        (", within 2 days before early", set()),
    ],
)
def test_what_limits_allow_of_a_typed_day_of_production(bench, limits, found):
    typed = {"made": "25.11.27"}
    said = bench.findings(best(limits), at="2027-11-25 14:05+00:00", inputs=typed)
    assert {f.rule for f in said if f.rule.startswith("typed-date-")} == found


def test_a_limit_is_held_against_its_own_clock(bench):
    # 02:00 of the 26th is the 25th to a clock whose day begins at 06:00: two days before it are
    # the 23rd, and the 25th may be typed, which is no day ahead
    body = best(", within 2 days before early")
    found = bench.findings(body, at="2027-11-26 02:00+00:00", inputs={"made": "25.11.27"})
    assert not [f for f in found if f.rule.startswith("typed-date-")]


def test_without_any_clock_it_says_to_declare_one(bench):
    body = 'input expiry date "dd.MM.yyyy"\nblock { line: "EXP " expiry(MM/yyyy) }'
    [found] = bench.findings(body, "typed-date-open", inputs={"expiry": "25.11.2029"})
    assert "declare clock now" in found.remedy
    assert "within 5 years after now" in found.remedy


def test_a_typed_date_that_says_nothing_of_the_life_is_left_alone(bench):
    body = NOW + 'input run date "dd.MM.yy"\nblock { line: "RUN " run(yyDDD) " " now(HH:mm) }'
    found = bench.findings(body, inputs={"run": "25.11.27"})
    assert not [f for f in found if f.rule.startswith("typed-date-")]
