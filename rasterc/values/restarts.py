"""When counters start again: a key that changes at each restart."""

from __future__ import annotations

from rasterc.source.declarations import Counter
from rasterc.values.dates.parts import PARTS
from rasterc.values.moment import Moment

RestartKey = tuple[int, ...]


def restart_key(counter: Counter, moment: Moment) -> RestartKey:
    """What stays the same as long as a counter runs on, and changes when it starts again.

    The parts of the production day that its restart names. A shift's key is the year, month, day,
    hour and minute at which it began. A counter that never restarts has the empty key.

    Raises:
        InputError: the moment has no time, or it leaves the years 1 to 9999.
    """
    if counter.restart_of is None:
        return ()
    if counter.restart.of == "shift":
        return moment.shift(counter.restart_of).began.timetuple()[:5]
    value = moment.clock(counter.restart_of)
    return tuple(PARTS[name].of(value) for name in counter.restart.parts)
