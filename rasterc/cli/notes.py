"""Notes: what a command took for granted, and what it did not stop at."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator, Sequence
from itertools import zip_longest
from typing import TYPE_CHECKING

from rasterc.diagnostics import Diagnostic, InputError, Severity
from rasterc.inspection.moments import noted_twice as noted_twice

if TYPE_CHECKING:
    from rasterc.api import Print
    from rasterc.cli.say import Teller
    from rasterc.output.code.styles import TerminalStyle
    from rasterc.profile.model import LineProfile
    from rasterc.source.message import Expect


def broken_expects(prints: Iterable[Print], severity: Severity) -> Iterator[Diagnostic]:
    """Every `expect` of the messages that prints something else, with its first line that does."""
    from rasterc.values import evaluate_expect

    for printed in prints:
        plan = printed.code.plan
        for expect in plan.message.expects:
            try:
                lines = evaluate_expect(plan, expect).lines
            except InputError as error:
                for fault in error.diagnostics:
                    place = fault.span or expect.span
                    yield Diagnostic("expect", fault.message, place, fault.help, severity)
                continue
            wanted = tuple(line.text for line in expect.lines)
            if wanted != lines:
                yield _broken_expect(expect, lines, severity)


def _broken_expect(expect: Expect, lines: Sequence[str], severity: Severity) -> Diagnostic:
    pairs = zip_longest(expect.lines, lines)
    wanted, got = next(pair for pair in pairs if pair[0] is None or pair[0].text != pair[1])
    if wanted is None:
        said, place = f'an example does not list the line "{got}"', expect.span
    elif got is None:
        said, place = "an example lists a line that is not printed", wanted.span
    else:
        said = f'an example does not hold: expected "{wanted.text}", but "{got}" is printed'
        place = wanted.span
    return Diagnostic("expect", said, place, "rasterc check says more", severity)


def noted_pace(
    prints: Iterable[Print], profile: LineProfile | None, speed: float | None
) -> Iterator[Diagnostic]:
    """Why the line cannot print a message, if so: its raster, or the line's speed.

    Looked at are the speed given, or all speeds of the profile.
    """
    if profile is None:
        return
    for printed in prints:
        name = printed.resolved.message.name
        why = _too_much(printed, profile, profile.line.speeds_m_s if speed is None else (speed,))
        if why:
            said = f"{name}: {why}; rasterc check --profile says what would do"
            yield Diagnostic("line-cannot-print", said, severity=Severity.WARNING)


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


def style_that_prints(style: TerminalStyle, teller: Teller) -> TerminalStyle:
    """The style asked for, or the plain one, with a note, where the output cannot carry it."""
    from rasterc.output.code.terminal import style_for

    encoding = getattr(sys.stdout, "encoding", None) or "ascii"
    chosen = style_for(style, encoding)
    if chosen is not style:
        said = f"this output ({encoding}) has no characters for style {style}: drawn plain"
        teller.note(Diagnostic("drawn-plain", said, severity=Severity.NOTE))
    return chosen
