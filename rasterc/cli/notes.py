"""Notes on standard error: what a command took for granted, and what it did not stop at."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rasterc.api import Print
    from rasterc.output.styles import TerminalStyle
    from rasterc.profile.model import LineProfile


def note(text: str, severity: str = "note") -> None:
    """One line on standard error."""
    print(f"{severity}: {text}", file=sys.stderr)


def note_twice(when: datetime | None, prints: Iterable[Print]) -> None:
    """Say which moment was taken for a wall time that comes twice when clocks go back."""
    if when is None or when.tzinfo is not None:
        return
    taken = (p.resolved.instant.when for p in prints if p.code.plan.clocks_read())
    for moment in {str(one.tzinfo): one for one in taken if one is not None}.values():
        first, second = (moment.replace(fold=fold).isoformat(" ", "minutes") for fold in (0, 1))
        if first != second:
            which, other = ("second", first) if moment.fold else ("first", second)
            note(
                f"{moment:%Y-%m-%d %H:%M} comes twice in {moment.tzinfo}: the {which} one was "
                f'taken; the other is --at "{other}"'
            )


def note_pace(prints: Iterable[Print], profile: LineProfile | None, speed: float | None) -> None:
    """Say of each message when the line cannot print it: its raster, or the line's speed.

    Looked at are the speed given, or all speeds of the profile.
    """
    if profile is None:
        return
    for printed in prints:
        name = printed.resolved.message.name
        why = _too_much(printed, profile, profile.line.speeds_m_s if speed is None else (speed,))
        if why:
            note(f"{name}: {why}; rasterc check --profile says what would do", "warning")


def _too_much(printed: Print, profile: LineProfile, speeds_m_s: Sequence[float]) -> str:
    from rasterc.head.timing import timing

    message = printed.resolved.message
    raster = profile.raster(message.raster)
    if raster is None:
        return f'"{profile.name}" throws no raster of {message.raster} drops'
    at_most = timing(profile, raster, 1, max(speeds_m_s))
    if at_most.keeps_up:
        return ""
    return (
        f"the head cannot follow {at_most.speed_m_s:g} m/s: {at_most.stroke_rate_hz:.0f} "
        f"strokes/s, {at_most.rate_limit_hz:.0f} is the limit"
    )


def style_that_prints(style: TerminalStyle) -> TerminalStyle:
    """The style asked for, or the plain one, with a note, where the output cannot carry it."""
    from rasterc.output.terminal import style_for

    encoding = sys.stdout.encoding or "ascii"
    chosen = style_for(style, encoding)
    if chosen is not style:
        note(f"this output ({encoding}) has no characters for style {style}: drawn plain")
    return chosen
