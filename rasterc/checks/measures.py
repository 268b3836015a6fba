"""What `require` can measure. Add a measure by adding one entry to `MEASURES`."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from rasterc.checks.model import Subject
from rasterc.extremes.kinds import CHARACTERS, DROPS, HEIGHT, LENGTH, both_ways
from rasterc.head.timing import SpeedTiming, rows_high_mm, timing

LENGTH_UNITS = {"mm": 1.0, "cm": 10.0, "um": 0.001}
TIME_UNITS = {"ms": 1.0, "s": 1000.0}


@dataclass(frozen=True, slots=True)
class Measure:
    """A measure of a printed message.

    Attributes:
        meaning: what it is.
        units: each unit a limit may be written in and its size in the first of them; empty for a
            plain count.
        count: what is counted in a print: strokes, drops, characters, rows; None when it cannot.
        convert: the measure in its first unit from that, by the profile of a subject; it never
            falls when the count rises. None when it needs a line profile and there is none.
        extremes: the names of the least and the greatest of all values, in `extremes`.
    """

    meaning: str
    units: Mapping[str, float]
    count: Callable[[Subject], int | None]
    convert: Callable[[Subject, int], float | None]
    extremes: tuple[str, str]

    @property
    def unit(self) -> str:
        """The unit `value` is in, "" for a count."""
        return next(iter(self.units), "")

    def value(self, subject: Subject) -> float | None:
        """The measure in its first unit; None when it cannot be told."""
        count = self.count(subject)
        return None if count is None else self.convert(subject, count)


def _plain(_: Subject, count: int) -> float:
    return float(count)


def _strokes(subject: Subject) -> int | None:
    return subject.layout.length if subject.layout else None


def _at_speeds(of: Callable[[SpeedTiming], float]) -> Callable[[Subject, int], float | None]:
    """What strokes come to at the speed of the profile at which it is the most."""

    def convert(subject: Subject, strokes: int) -> float | None:
        profile, raster = subject.profile, subject.raster
        if profile is None or raster is None:
            return None
        speeds = profile.line.speeds_m_s
        return max(of(timing(profile, raster, strokes, speed)) for speed in speeds)

    return convert


def _rows(subject: Subject) -> int:
    """Rows of the smallest line's capitals and digits; 0 where nothing is printed."""
    setters = (subject.composer.setter(font, line) for line, font, _ in subject.printed_lines)
    return min((setter.capital_rows for setter in setters), default=0)


def _height(subject: Subject, rows: int) -> float | None:
    return None if subject.profile is None else rows_high_mm(rows, subject.profile)


def _drops(subject: Subject) -> int | None:
    if subject.layout is None:
        return None
    return sum(column.bit_count() for line in subject.layout.lines for column in line.columns)


MEASURES: Mapping[str, Measure] = {
    "height": Measure(
        "height of the smallest line's capitals and digits", LENGTH_UNITS, _rows, _height,
        both_ways(HEIGHT),
    ),
    "length": Measure(
        "length of the code, at the speed that makes it longest", LENGTH_UNITS, _strokes,
        _at_speeds(lambda timing: timing.length_mm), both_ways(LENGTH),
    ),
    "time": Measure(
        "time the code takes, at the slowest speed", TIME_UNITS, _strokes,
        _at_speeds(lambda timing: timing.message_ms), both_ways(LENGTH),
    ),
    "strokes": Measure("number of strokes", {}, _strokes, _plain, both_ways(LENGTH)),
    "drops": Measure("number of printed drops", {}, _drops, _plain, both_ways(DROPS)),
    "characters": Measure(
        "number of characters in all lines", {}, lambda s: sum(map(len, s.resolved.lines)), _plain,
        both_ways(CHARACTERS),
    ),
}  # fmt: skip
