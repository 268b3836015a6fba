"""What `require` can measure. Add a measure by adding one entry to `MEASURES`."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from rasterc.checks.model import Subject
from rasterc.head.timing import height_mm, timing

LENGTH_UNITS = {"mm": 1.0, "cm": 10.0, "um": 0.001}
TIME_UNITS = {"ms": 1.0, "s": 1000.0}


@dataclass(frozen=True, slots=True)
class Measure:
    """A measure of a printed message.

    ``units`` maps each unit a limit may be written in to its size in the first of them; empty for
    a plain count. ``value`` gives the measure in that first unit, or None when it needs a line
    profile and there is none.
    """

    meaning: str
    units: Mapping[str, float]
    value: Callable[[Subject], float | None]

    @property
    def unit(self) -> str:
        """The unit `value` is in, "" for a count."""
        return next(iter(self.units), "")


def _length(subject: Subject) -> float | None:
    profile, raster, layout = subject.profile, subject.raster, subject.layout
    if profile is None or raster is None or layout is None:
        return None
    speeds = profile.line.speeds_m_s
    return max(timing(profile, raster, layout.length, v).length_mm for v in speeds)


def _time(subject: Subject) -> float | None:
    profile, raster, layout = subject.profile, subject.raster, subject.layout
    if profile is None or raster is None or layout is None:
        return None
    speeds = profile.line.speeds_m_s
    return max(timing(profile, raster, layout.length, v).message_ms for v in speeds)


def _height(subject: Subject) -> float | None:
    if subject.profile is None:
        return None
    rows = (
        font.cell_width() if line.tower else font.rows_of("H0")
        for line, font, _ in subject.printed_lines
    )
    smallest = min(rows, default=0)
    return height_mm(
        smallest, subject.profile.head.row_pitch_mm, subject.profile.product.dot_diameter_mm
    )


def _drops(subject: Subject) -> float | None:
    columns = (c for line in subject.layout.lines for c in line.columns) if subject.layout else ()
    return float(sum(c.bit_count() for c in columns))


MEASURES: Mapping[str, Measure] = {
    "height": Measure("height of the smallest line's capitals and digits", LENGTH_UNITS, _height),
    "length": Measure(
        "length of the code, at the speed that makes it longest", LENGTH_UNITS, _length
    ),
    "time": Measure("time the code takes, at the slowest speed", TIME_UNITS, _time),
    "strokes": Measure(
        "number of strokes", {}, lambda s: float(s.layout.length) if s.layout else None
    ),
    "drops": Measure("number of printed drops", {}, _drops),
    "characters": Measure(
        "number of characters in all lines", {}, lambda s: float(sum(map(len, s.resolved.lines)))
    ),
}
