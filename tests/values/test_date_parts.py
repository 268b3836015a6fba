"""What holds for every part of a date and every date letter, in the rooms that go by them."""

from datetime import date, datetime, timedelta
from itertools import groupby

import numpy as np
import pytest

from rasterc.values.dates.clocks import ClockValue, fixed_clock
from rasterc.values.dates.languages import find_names
from rasterc.values.dates.parts import PARTS, Shows
from rasterc.values.dates.patterns import LETTERS

FIRST = date(1990, 1, 1)
DAYS = [FIRST + timedelta(days=n) for n in range(70 * 365)]
OF_DAYS = [fixed_clock(day) for day in DAYS]
OF_TIMES = [
    ClockValue(datetime(2027, 11, 25) + timedelta(minutes=n), date(2027, 11, 25))
    for n in range(24 * 60)
]


def values_of(part):
    return OF_DAYS if part.shows is Shows.DAY else OF_TIMES


@pytest.mark.parametrize("part", PARTS.values(), ids=PARTS)
def test_a_part_is_the_same_of_one_and_of_many(part):
    since_1970 = (FIRST - date(1970, 1, 1)).days
    many = np.arange(len(DAYS)) + since_1970 if part.shows is Shows.DAY else np.arange(24 * 60)
    assert part.of_many(many.astype(np.int64)).tolist() == list(map(part.of, values_of(part)))


@pytest.mark.parametrize(
    "part", [part for part in PARTS.values() if part.longest_minutes >= 1], ids=lambda p: p.name
)
def test_a_part_stays_as_long_as_it_says_at_most(part):
    step = 24 * 60 if part.shows is Shows.DAY else 1
    longest = max(len(list(run)) for _, run in groupby(map(part.of, values_of(part)))) * step
    assert longest == part.longest_minutes or part.longest_minutes == float("inf")


@pytest.mark.parametrize("letter", LETTERS)
def test_a_letter_prints_its_part_and_nothing_else(letter):
    """Its texts, all forms together, tell the part's number, and that number tells them."""
    entry, names = LETTERS[letter], find_names("en", None)
    forms = [entry.make(count, names) for count in entry.counts]
    pairs = {
        (entry.part.of(value), tuple(form(value) for form in forms))
        for value in values_of(entry.part)
    }
    assert len({number for number, _ in pairs}) == len({texts for _, texts in pairs}) == len(pairs)
