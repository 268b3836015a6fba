"""When counters start again: a key that changes at each restart."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date

from rasterc.source.declarations import Counter, Restart
from rasterc.values.moment import Moment

RestartKey = tuple[int, ...]

_OF_DAY: Mapping[Restart, Callable[[date], RestartKey]] = {
    Restart.DAILY: lambda day: (day.year, day.month, day.day),
    Restart.MONTHLY: lambda day: (day.year, day.month),
    Restart.YEARLY: lambda day: (day.year,),
}


def restart_key(counter: Counter, moment: Moment) -> RestartKey:
    """What stays the same as long as a counter runs on, and changes when it starts again.

    Days, months and years are those of the production day. A shift's key is the year, month, day,
    hour and minute at which it began. A counter that never restarts has the empty key.

    Raises:
        InputError: the moment has no time, or it leaves the years 1 to 9999.
    """
    if counter.restart is Restart.NEVER:
        return ()
    assert counter.restart_of is not None
    if counter.restart is Restart.SHIFT:
        return moment.shift(counter.restart_of).began.timetuple()[:5]
    return _OF_DAY[counter.restart](moment.clock(counter.restart_of).day)
