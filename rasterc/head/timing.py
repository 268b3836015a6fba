"""When strokes are thrown and where the moving product takes them.

All of it is kinematics of the line: drops leave at the drop frequency, a stroke takes a fixed
number of drop periods, the product moves on meanwhile. Flight is not part of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, cos, degrees

from rasterc.profile.model import Firing, LineProfile, RasterTiming


def stroke_rate_limit_hz(raster: RasterTiming, drop_frequency_hz: float) -> float:
    """Strokes a head can throw per second: drop frequency / slots of a stroke.

    A stroke of n drops with g guard drops after each but the last and s unprinted drops before
    the next stroke takes (n - 1)(1 + g) + 1 + s slots.

    >>> stroke_rate_limit_hz(RasterTiming(drops=9, guard_drops=1, stroke_gap_drops=3), 73_900)
    3695.0
    """
    return drop_frequency_hz / raster.slots


def max_speed_m_s(rate_limit_hz: float, stroke_pitch_mm: float) -> float:
    """Fastest line speed that keeps the stroke pitch: pitch x rate limit.

    >>> round(max_speed_m_s(3695.0, 0.35), 3)
    1.293
    """
    return stroke_pitch_mm * rate_limit_hz / 1000


def slant_mm(raster: RasterTiming, drop_frequency_hz: float, speed_m_s: float) -> float:
    """Travel of the product between the lowest and the highest drop of a stroke, in mm.

    Positive when the top leans to later strokes (low row thrown first), negative for high first.

    >>> r = RasterTiming(drops=9, guard_drops=1)
    >>> round(slant_mm(r, 73_900, 1.2), 4)
    0.2598
    """
    lean = raster.rise_slots / drop_frequency_hz * speed_m_s * 1000
    return lean if raster.firing is Firing.LOW_FIRST else -lean


def tilt(lean: float) -> tuple[float, float] | None:
    """What sets leaning strokes upright: the tilt of the head in degrees, and what it costs.

    A tilted head keeps its own row pitch, so sin(tilt) = lean, as a part of the height; the height
    falls to cos(tilt) of itself. None where no tilt does it: a lean beyond 45 degrees.

    >>> [round(value, 2) for value in tilt(0.5139)]  # 27.2 degrees of lean
    [30.92, 0.14]
    """
    if lean > 1:
        return None
    angle = asin(lean)
    return degrees(angle), 1 - cos(angle)


def length_mm(strokes: int, stroke_pitch_mm: float, dot_diameter_mm: float) -> float:
    """Length of a code on the product, from edge to edge of its outer drops.

    >>> round(length_mm(101, 0.35, 0.4), 2)
    35.4
    """
    return (strokes - 1) * stroke_pitch_mm + dot_diameter_mm if strokes else 0.0


def height_mm(rows: int, row_pitch_mm: float, dot_diameter_mm: float) -> float:
    """Height of so many rows of drops, from edge to edge of the outer drops.

    >>> round(height_mm(7, 0.35, 0.4), 2)
    2.5
    """
    return (rows - 1) * row_pitch_mm + dot_diameter_mm if rows else 0.0


def rows_high_mm(rows: int, profile: LineProfile) -> float:
    """How high so many rows of drops stand on the product of a line, from edge to edge."""
    return height_mm(rows, profile.head.row_pitch_mm, profile.product.dot_diameter_mm)


@dataclass(frozen=True, slots=True)
class SpeedTiming:
    """What happens at one line speed.

    Attributes:
        speed_m_s: the line speed.
        stroke_rate_hz: strokes per second asked for at the profile's stroke pitch.
        rate_limit_hz: strokes per second the raster allows.
        stroke_pitch_mm: the pitch that is printed: the profile's, or a wider one when the head
            cannot follow and prints its strokes as fast as it can.
        length_mm: length of the code at that pitch.
        slant_mm: lean of the strokes, positive to the right.
        message_ms: time from the first stroke to the end of the last.
        product_ms: time from one product to the next, None when the profile does not say.
    """

    speed_m_s: float
    stroke_rate_hz: float
    rate_limit_hz: float
    stroke_pitch_mm: float
    length_mm: float
    slant_mm: float
    message_ms: float
    product_ms: float | None

    @property
    def keeps_up(self) -> bool:
        """Whether the head can throw strokes as fast as the line asks."""
        return self.stroke_rate_hz <= self.rate_limit_hz * (1 + 1e-9)


def timing(
    profile: LineProfile, raster: RasterTiming, strokes: int, speed_m_s: float
) -> SpeedTiming:
    """The timing of a code of so many strokes at a line speed."""
    limit = stroke_rate_limit_hz(raster, profile.head.drop_frequency_hz)
    wanted_pitch = profile.line.stroke_pitch_mm
    pitch = max(wanted_pitch, speed_m_s * 1000 / limit)
    between = profile.line.product_pitch_mm
    return SpeedTiming(
        speed_m_s=speed_m_s,
        stroke_rate_hz=speed_m_s * 1000 / wanted_pitch,
        rate_limit_hz=limit,
        stroke_pitch_mm=pitch,
        length_mm=length_mm(strokes, pitch, profile.product.dot_diameter_mm),
        slant_mm=slant_mm(raster, profile.head.drop_frequency_hz, speed_m_s),
        message_ms=strokes * pitch / speed_m_s,
        product_ms=None if between is None else between / speed_m_s,
    )


def rasters_that_keep_up(profile: LineProfile, speed_m_s: float) -> list[RasterTiming]:
    """The profile's rasters that can follow a line speed, highest first."""
    needed = speed_m_s * 1000 / profile.line.stroke_pitch_mm
    frequency = profile.head.drop_frequency_hz
    fit = [r for r in profile.rasters if stroke_rate_limit_hz(r, frequency) * (1 + 1e-9) >= needed]
    return sorted(fit, key=lambda raster: -raster.drops)
