"""Counters: values and their texts, and what comes next. Pure functions.

A counter prints each of its values ``repeat`` times. A `Count` is a place in that sequence.
"""

from __future__ import annotations

from enum import StrEnum

from msgspec import Struct

from rasterc.source.declarations import AtEnd, Counter


class Count(Struct, frozen=True):
    """A value and which of its prints this is, from 1 to ``repeat``."""

    value: int
    nth: int = 1


class Turn(StrEnum):
    """How a counter goes on."""

    GOES_ON = "goes on"
    WRAPS = "wraps"  # after its last value it begins again
    ENDS = "ends"  # there is no next value


class Next(Struct, frozen=True):
    """What comes after a count. ``count`` is None when the counter ends."""

    turn: Turn
    count: Count | None


def text_of(counter: Counter, value: int) -> str:
    """``value`` in the counter's digits, without leading zeros.

    Any value not below 0 has a text, whether or not the counter reaches it.
    """
    assert value >= 0
    base = len(counter.digits)
    text = counter.digits[value % base]
    while value := value // base:
        text = counter.digits[value % base] + text
    return text


def value_of(counter: Counter, text: str) -> int | None:
    """The value that ``text`` writes in the counter's digits; leading zeros and blanks may stand.

    None when a character is no digit of the counter, or no digit is there.
    """
    digits = text.lstrip(" ")
    if not digits or any(digit not in counter.digits for digit in digits):
        return None
    value = 0
    for digit in digits:
        value = value * len(counter.digits) + counter.digits.index(digit)
    return value


def widest(counter: Counter) -> int:
    """Characters of its longest text without padding: that of its first or its last value."""
    return max(len(text_of(counter, counter.values[i])) for i in (0, -1))


def prints(counter: Counter) -> int:
    """How many prints it makes from its first value to its last."""
    return len(counter.values) * counter.repeat


def count_at(counter: Counter, position: int) -> Count:
    """The count at a position of the sequence, from 0 to ``prints(counter) - 1``.

    Raises:
        IndexError: the position is outside.
    """
    if not 0 <= position < prints(counter):
        raise IndexError(position)
    index, nth = divmod(position, counter.repeat)
    return Count(counter.values[index], nth + 1)


def position_of(counter: Counter, count: Count) -> int:
    """The position of a count in the sequence.

    Raises:
        ValueError: the counter never prints it.
    """
    if not 1 <= count.nth <= counter.repeat:
        raise ValueError(count)
    return counter.values.index(count.value) * counter.repeat + count.nth - 1


def next_count(counter: Counter, count: Count) -> Next:
    """What comes after ``count`` when the counter is not restarted.

    Raises:
        ValueError: the counter never prints ``count``.
    """
    position = position_of(counter, count) + 1
    if position < prints(counter):
        return Next(Turn.GOES_ON, count_at(counter, position))
    if counter.at_end is AtEnd.WRAP:
        return Next(Turn.WRAPS, count_at(counter, 0))
    return Next(Turn.ENDS, None)
