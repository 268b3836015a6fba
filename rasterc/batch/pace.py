"""The moments of a job's rows: time stands still, or moves on by the same step with each row."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, datetime
from fractions import Fraction

import numpy as np

from rasterc.batch.rows import MICROS, Micros, micros_of
from rasterc.diagnostics import InputError
from rasterc.profile.model import LINE_SPEEDS, LineProfile, is_line_speed

_UNITS = {"ms": Fraction(1, 1000), "s": Fraction(1), "min": Fraction(60), "h": Fraction(3600)}
_STEP = re.compile(r"\s*(\d+(?:\.\d+)?)\s*(ms|s|min|h)\s*")
_RATE = re.compile(r"\s*(\d+(?:\.\d+)?)\s*/\s*(s|min|h)\s*")
LONGEST_S = 366 * 86_400
MOST_AT_ONCE = 1 << 17
"""Rows whose moments are asked for at once, at most."""
_LAST = micros_of(datetime(9999, 12, 30, tzinfo=UTC))  # a wall clock may be a day ahead
_HELP = 'write a time such as "0.24s" or "3 min", a rate such as "250/min", or "line"'


@dataclass(frozen=True, slots=True)
class Pace:
    """When rows are printed.

    Attributes:
        start: the moment of the first row, in microseconds; None when none is told.
        step: microseconds from row to row, exactly; moments are rounded down.
    """

    start: int | None = None
    step: Fraction = Fraction(0)

    @property
    def moves(self) -> bool:
        """Whether time goes on."""
        return self.step > 0

    def at(self, row: int) -> int:
        """The moment of a row, counted from 0."""
        assert self.start is not None
        return self.start + row * self.step.numerator // self.step.denominator

    def moments(self, first: int, count: int) -> Micros | None:
        """The moments of rows, counted from 0.

        Raises:
            InputError: they leave the years to 9999.
        """
        if self.start is None:
            return None
        self.refuse_far(first + count)
        whole, part = divmod(first * self.step.numerator, self.step.denominator)
        rows = np.arange(count, dtype=np.int64)
        passed = (rows * self.step.numerator + part) // self.step.denominator
        return passed + (self.start + whole)

    def refuse_far(self, count: int) -> None:
        """Raises `InputError` when so many rows leave the years that a calendar knows."""
        if self.start is not None and count > 0 and self.at(count - 1) > _LAST:
            said = f"row {count:,} would be printed after the year 9999"
            help = "ask for fewer rows, or for less time from row to row"
            raise InputError.one("date-out-of-range", said, help=help)

    def first_row(self, moment: int) -> int:
        """The first row at or after a moment; not below 0."""
        assert self.start is not None
        ahead = (moment - self.start) * self.step.denominator
        return max(0, -(-ahead // self.step.numerator))


def step_of(text: str, profile: LineProfile | None, speed_m_s: float | None) -> Fraction:
    """Microseconds from row to row, as people write it; "line" is that of the profile.

    Raises:
        InputError: it is none, or the profile does not tell.
    """
    if text.strip() == "line":
        return _of_line(profile, speed_m_s)
    seconds = None
    if step := _STEP.fullmatch(text):
        seconds = Fraction(step[1]) * _UNITS[step[2]]
    elif (rate := _RATE.fullmatch(text)) and Fraction(rate[1]):
        seconds = _UNITS[rate[2]] / Fraction(rate[1])
    if seconds is None or not _is_step(seconds * MICROS):
        raise InputError.one("bad-pace", f'"{text}" is no time from row to row', help=_HELP)
    return seconds * MICROS


def _is_step(step: Fraction) -> bool:
    """Whether rows can be so far apart; ``MOST_AT_ONCE`` steps are worked out in 64 bits."""
    return 0 < step <= LONGEST_S * MICROS and step.numerator < 2**62 // MOST_AT_ONCE


def _of_line(profile: LineProfile | None, speed_m_s: float | None) -> Fraction:
    """The time a line takes from product to product."""
    pitch_mm = None if profile is None else profile.line.product_pitch_mm
    if profile is None or pitch_mm is None:
        said = '"line" takes a profile that tells product_pitch_mm'
        raise InputError.one("bad-pace", said, help=_HELP)
    speed = profile.line.speeds_m_s[0] if speed_m_s is None else speed_m_s
    step = Fraction(str(pitch_mm)) / Fraction(str(speed)) * 1000
    if not is_line_speed(speed) or not _is_step(step):
        raise InputError.one("bad-speed", f"a line cannot run at {speed:g} m/s", help=LINE_SPEEDS)
    return step
