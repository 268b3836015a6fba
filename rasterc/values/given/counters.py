"""Counters: values and their texts."""

from __future__ import annotations

from rasterc.source.declarations import Counter


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
