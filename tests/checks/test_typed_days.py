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
