"""How strokes look on the product at a line speed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rasterc.diagnostics import InputError

if TYPE_CHECKING:
    from rasterc.layout.model import Strokes
    from rasterc.output.code.geometry import DropGeometry
    from rasterc.profile.model import LineProfile


def chosen_speed(profile: LineProfile | None, speed_m_s: float | None) -> float | None:
    """The speed asked for, else the profile's first; None without a profile.

    Raises:
        InputError: a speed out of range, or one without a profile.
    """
    if speed_m_s is None:
        return profile.line.speeds_m_s[0] if profile else None
    if profile is None:
        raise InputError.one(
            "no-profile", "--speed needs a line profile", help="give --profile FILE too"
        )
    from rasterc.profile.model import LINE_SPEEDS, is_line_speed

    if not is_line_speed(speed_m_s):
        raise InputError.one(
            "bad-speed",
            f"--speed {speed_m_s:g} is not a line speed",
            help=f"give {LINE_SPEEDS}",
        )
    return speed_m_s


def geometry_at(
    profile: LineProfile | None, strokes: Strokes, speed_m_s: float | None = None
) -> DropGeometry:
    """Pitch, slant, drop and colours of a profile at a speed; plain ones without a profile.

    Without a raster timing for these strokes the slant is left out.

    Raises:
        InputError: as `chosen_speed` does.
    """
    from rasterc.head.timing import timing
    from rasterc.output.code.geometry import DropGeometry

    speed = chosen_speed(profile, speed_m_s)
    if profile is None or speed is None:
        return DropGeometry()
    raster = profile.raster(strokes.raster)
    at_speed = timing(profile, raster, len(strokes), speed) if raster else None
    return DropGeometry(
        stroke_pitch_mm=at_speed.stroke_pitch_mm if at_speed else profile.line.stroke_pitch_mm,
        row_pitch_mm=profile.head.row_pitch_mm,
        dot_diameter_mm=profile.product.dot_diameter_mm,
        slant_mm=at_speed.slant_mm if at_speed else 0.0,
        ink=profile.product.ink,
        surface=profile.product.surface,
    )
