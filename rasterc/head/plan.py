"""When each drop of a message is born: strokes on the drop grid."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rasterc.diagnostics import InputError
from rasterc.head.arrays import Floats, Ints
from rasterc.head.timing import stroke_rate_limit_hz
from rasterc.layout.model import MAX_STROKES
from rasterc.profile.model import LINE_SPEEDS, Firing, LineProfile, RasterTiming, is_line_speed

MAX_FLIGHT_DROPS = 200_000


def firing_order(raster: RasterTiming) -> tuple[int, ...]:
    """Rows in the order in which their drops are thrown.

    >>> firing_order(RasterTiming(drops=5, firing=Firing.HIGH_FIRST))
    (4, 3, 2, 1, 0)
    """
    rows = range(raster.drops)
    return tuple(rows if raster.firing is Firing.LOW_FIRST else reversed(rows))


def guard_drops_in_words(count: int) -> str:
    """So many guard drops.

    >>> guard_drops_in_words(1), guard_drops_in_words(2)
    ('1 guard drop', '2 guard drops')
    """
    return f"{count} guard drop{'s' * (count != 1)}"


@dataclass(frozen=True, slots=True)
class Throw:
    """How a raster is thrown: its rows in firing order, and the drops left out between.

    Made from a profile's raster by `throw_of`, or by hand to try an order no profile has.
    """

    order: tuple[int, ...]
    guard_drops: int = 0
    stroke_gap_drops: int = 1

    def __post_init__(self) -> None:
        if sorted(self.order) != list(range(len(self.order))):
            raise InputError.one(
                "firing-order",
                f"a firing order must name every row once, not {list(self.order)}",
                help=f"name the rows 0 to {max(len(self.order) - 1, 0)}, each once",
            )

    @property
    def rows(self) -> int:
        """Rows of the raster."""
        return len(self.order)

    @property
    def rise_slots(self) -> int:
        """Slots from the first drop of a stroke to its last."""
        return (self.rows - 1) * (1 + self.guard_drops)

    @property
    def slots(self) -> int:
        """Slots of a stroke with the gap after it."""
        return self.rise_slots + 1 + self.stroke_gap_drops

    @property
    def row_slots(self) -> tuple[int, ...]:
        """The slot of each row, from the first drop of its stroke.

        >>> Throw((0, 2, 1), guard_drops=1).row_slots
        (0, 4, 2)
        """
        return tuple(self.order.index(row) * (1 + self.guard_drops) for row in range(self.rows))


def throw_of(raster: RasterTiming, order: Sequence[int] | None = None) -> Throw:
    """How a profile's raster is thrown, in its own firing order or another one."""
    rows = firing_order(raster) if order is None else tuple(order)
    if len(rows) != raster.drops:
        raise InputError.one(
            "firing-order",
            f"the firing order names {len(rows)} rows, the raster has {raster.drops}",
            help="name every row once",
        )
    return Throw(rows, raster.guard_drops, raster.stroke_gap_drops)


@dataclass(frozen=True, slots=True, eq=False)
class StrokePlan:
    """A message on the drop grid.

    Attributes:
        columns: shape (strokes,); bit r is set when row r is printed.
        starts: shape (strokes,); slot of the first drop of each stroke, counted from the first.
        throw: how each stroke is thrown.
        stroke_pitch_mm: product travel between two strokes.
        speed_m_s: line speed.
        drop_frequency_hz: slots per second.
    """

    columns: Ints
    starts: Ints
    throw: Throw
    stroke_pitch_mm: float
    speed_m_s: float
    drop_frequency_hz: float

    @property
    def slots(self) -> int:
        """Slots from the first drop of the first stroke to the last one of the last."""
        return int(self.starts[-1]) + self.throw.rise_slots + 1 if len(self.starts) else 0

    def printed(self) -> tuple[Ints, Ints, Ints]:
        """Stroke, row and slot of every printed drop, stroke by stroke and row by row."""
        bits = self.columns[:, None] >> np.arange(self.throw.rows) & 1
        strokes, rows = np.nonzero(bits)
        return strokes, rows, self.starts[strokes] + np.array(self.throw.row_slots)[rows]

    def ideal_travel_mm(self, strokes: Ints, rows: Ints) -> Floats:
        """Where drops belong along the travel: stroke pitch, plus the slant of the stroke."""
        slot_mm = self.speed_m_s * 1000 / self.drop_frequency_hz
        slots = np.array(self.throw.row_slots)[rows]
        travel: Floats = strokes * self.stroke_pitch_mm + slots * slot_mm
        return travel


def plan_strokes(
    profile: LineProfile,
    raster: RasterTiming,
    columns: Sequence[int] | Ints,
    speed_m_s: float,
    order: Sequence[int] | None = None,
    encoder_phase: float = 0.0,
) -> StrokePlan:
    """Put a message on the drop grid at a line speed.

    Each stroke starts at the slot nearest to its time, or to the next step of the encoder where
    the profile tells its steps. Where the head cannot follow the line the strokes are thrown as
    fast as it can, at a wider pitch.

    Args:
        profile: the line profile; its pitch and drop frequency are used.
        raster: how the strokes are thrown.
        columns: one whole number per stroke, bit r set when row r is printed.
        speed_m_s: line speed.
        order: another firing order than the raster's.
        encoder_phase: how far into a step of the encoder the code begins, 0 to 1.

    Raises:
        InputError: columns that do not fit the raster, or too many; a speed that is none.
    """
    throw = throw_of(raster, order)
    checked = _checked(columns, throw.rows)
    if not is_line_speed(speed_m_s):
        raise InputError.one(
            "bad-speed",
            f"{speed_m_s:g} m/s is not a line speed",
            help=f"give {LINE_SPEEDS}",
        )
    frequency = profile.head.drop_frequency_hz
    fastest_hz = stroke_rate_limit_hz(raster, frequency)
    pitch_mm = max(profile.line.stroke_pitch_mm, speed_m_s * 1000 / fastest_hz)
    spacing = max(pitch_mm / 1000 / speed_m_s * frequency, throw.slots)
    if spacing * len(checked) > MAX_FLIGHT_DROPS:
        raise InputError.one(
            "too-long",
            f"{len(checked)} strokes at {speed_m_s:g} m/s take {spacing * len(checked):.0f} drops "
            f"to fly; the limit is {MAX_FLIGHT_DROPS}",
            help="fly a shorter part of the message, or a higher line speed",
        )
    starts = np.rint(np.arange(len(checked)) * spacing).astype(np.int64)
    step_mm = profile.line.encoder_step_mm
    if step_mm is not None and pitch_mm == profile.line.stroke_pitch_mm:
        begins = encoder_phase * step_mm
        wanted_mm = np.arange(len(checked), dtype=np.float64) * pitch_mm + begins
        steps = np.ceil(wanted_mm / step_mm - 1e-9)
        places_mm = (steps - steps[:1]) * step_mm
        starts = _apart(np.rint(places_mm / 1000 / speed_m_s * frequency), throw.slots)
    return StrokePlan(checked, starts, throw, pitch_mm, speed_m_s, frequency)


def _apart(starts: Floats, slots: int) -> Ints:
    """Starts in rising order, each at least so many slots after the one before."""
    least = np.arange(len(starts)) * slots
    return (np.maximum.accumulate(starts - least) + least).astype(np.int64)


def _checked(columns: Sequence[int] | Ints, rows: int) -> Ints:
    checked = np.asarray(columns, dtype=np.int64)
    if checked.ndim != 1:
        raise InputError.one(
            "bad-strokes",
            f"strokes must be a list of numbers, not {checked.ndim} deep",
            help="give one whole number per stroke",
        )
    if len(checked) > MAX_STROKES:
        raise InputError.one(
            "too-long", f"{len(checked)} strokes; the limit is {MAX_STROKES}", help="fly a part"
        )
    wrong = np.flatnonzero((checked < 0) | (checked >> rows != 0))
    if wrong.size:
        raise InputError.one(
            "bad-strokes",
            f"stroke {int(wrong[0]) + 1} prints rows above the {rows} of the raster",
            help="fly the message on the raster it was laid out for",
        )
    return checked
