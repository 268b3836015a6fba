"""The rules about shifts, of rosters."""

import pytest


@pytest.mark.parametrize(
    ("parts", "clock", "twice"),
    [
        ('"A" from 06:00 "B" from 14:00 "A" from 22:00 on 2', "06:00", True),
        ('"A" from 06:00 on 1 "B" from 14:00 "A" from 22:00 on 2', "06:00", False),
        # crew A's night of day 1 begins at 02:00 of day 2, and belongs to the day before
        ('"A" from 06:00 on 1 "B" from 14:00 on 1 "A" from 02:00 on 2', "06:00", True),
        ('"A" from 06:00 on 1 "B" from 14:00 on 1 "A" from 02:00 on 2', "00:00", False),
        ('"A" from 06:00 on 3 "B" from 14:00 on 3 "A" from 02:00 on 1', "06:00", True),
    ],
)
def test_letters_that_come_twice_on_one_day_of_a_roster(bench, parts, clock, twice):
    found = bench.findings(
        f'clock packed in "UTC", day from {clock}\n'
        f"shift crew of packed every 3 days from 2027-11-25 {{ {parts} }}\n"
        'block { line: "LOT " packed(yyDDD) crew }',
        "shift-letters-repeat",
    )
    assert bool(found) == twice


def test_a_part_that_lasts_for_days_is_told_of_a_roster(bench):
    found = bench.findings(
        'clock packed in "UTC"\n'
        'shift crew of packed every 9 days from 2027-11-25 { "A" from 06:00 on 1 to 5 }\n'
        'clock began = start of crew\nblock { line: "PACKED " began(yyyy-MM-dd) " " crew }',
        "shift-runs-on",
    )
    assert [each.measured for each in found] == [5 * 24]
