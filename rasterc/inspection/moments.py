"""How the moment of a print is told."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime
from typing import TYPE_CHECKING

from rasterc.diagnostics import Diagnostic, Severity

if TYPE_CHECKING:
    from rasterc.printed import Print


def at_moment(printed: Print) -> str:
    """ " at 2027-11-25 14:05:00+00:00", the form of every heading; "" when no clock is read."""
    when = printed.resolved.instant.when
    return (
        f" at {when.isoformat(' ', 'seconds')}" if when and printed.code.plan.clocks_read() else ""
    )


def noted_twice(when: datetime | None, prints: Iterable[Print]) -> Iterator[Diagnostic]:
    """Which moment was taken for a wall time that comes twice when clocks go back."""
    if when is None or when.tzinfo is not None:
        return
    taken = (p.resolved.instant.when for p in prints if p.code.plan.clocks_read())
    for moment in {str(one.tzinfo): one for one in taken if one is not None}.values():
        first, second = (moment.replace(fold=fold).isoformat(" ", "minutes") for fold in (0, 1))
        if first != second:
            which, other = ("second", first) if moment.fold else ("first", second)
            said = (
                f"{moment:%Y-%m-%d %H:%M} comes twice in {moment.tzinfo}: the {which} one was "
                f'taken; the other is --at "{other}"'
            )
            yield Diagnostic("time-twice", said, severity=Severity.NOTE)
