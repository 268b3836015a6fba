"""The instants at which the dates of a message lie nearest to production, and farthest ahead."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from rasterc.checks.printed.dates import MONTHS, Mark, marks
from rasterc.checks.printed.durability import chain_of, fixed_days, is_date
from rasterc.checks.subject import Subject
from rasterc.domain.horizon import horizon
from rasterc.domain.timeline import Tracks
from rasterc.values.dates.offsets import moment_of

_Days = NDArray[np.int64]


def life_instants(subject: Subject, years: int) -> tuple[datetime, ...]:
    """For every printed date the first instants, within so many years, of its least and its
    greatest distance from the day of production, and the last minute there is.

    What depends on that distance alone holds at every instant when it holds at these. For a fixed
    date it is the beginning of its day. Dates that are typed have no such instants.

    Raises:
        InputError: a clock leaves the years that can be looked at.
    """
    if subject.when is None:
        return ()
    zone = subject.when.tzinfo
    first, end = horizon(subject.plan, subject.when, years).minutes
    tracks = Tracks(subject.plan, first, end)
    minutes = {end - 1}
    for mark in marks(subject):
        root = chain_of(subject, mark.clock)[0]
        if is_date(mark) and root.fixed is None and not root.typed:
            minutes.update(_extremes(subject, tracks, mark))
    found = [moment_of(minute).astimezone(zone) for minute in sorted(minutes)]
    found += [moment for moment in _fixed(subject) if found[0] <= moment <= found[-1]]
    return tuple(dict.fromkeys(found))


def _extremes(subject: Subject, tracks: Tracks, mark: Mark) -> Iterator[int]:
    root = chain_of(subject, mark.clock)[0]
    shifts = [root.shift] if root.shift else []
    line = tracks.line([mark.clock, root.name], shifts)
    made = line.shifts[root.shift].began.day if root.shift else line.clocks[root.name].day
    track = line.clocks[mark.clock]
    ahead = np.where(track.valid, _last_days(mark, track.day) - made, 0)
    yield from (int(line.starts[at]) for at in (int(ahead.argmin()), int(ahead.argmax())))


def _last_days(mark: Mark, days: _Days) -> _Days:
    """The days a reader takes dates to mean, as `durability.last_day_read` does for one."""
    if mark.has("dDw"):
        return days
    unit = "M8[M]" if mark.has(MONTHS) else "M8[Y]"
    ends = (days.astype("M8[D]").astype(unit) + 1).astype("M8[D]").astype(np.int64) - 1
    return np.asarray(ends, np.int64)


def _fixed(subject: Subject) -> Iterator[datetime]:
    assert subject.when is not None
    for _, last in fixed_days(subject):
        noon = datetime(last.year, last.month, last.day, 12, tzinfo=subject.when.tzinfo)
        yield from (noon, noon + timedelta(days=1))
