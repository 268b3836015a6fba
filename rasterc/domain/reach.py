"""The texts of date letters, whenever they are printed or within some time."""

from __future__ import annotations

from datetime import UTC, date, datetime
from functools import cache

from rasterc.domain.atoms import Literal, letters_of
from rasterc.domain.printer import Printer
from rasterc.domain.timeline import Tracks
from rasterc.values.dates.clocks import ClockValue, fixed_clock
from rasterc.values.dates.offsets import minute_of
from rasterc.values.dates.patterns import LETTERS, Part, Pattern
from rasterc.values.fields.kinds import ClockText
from rasterc.values.plan import Plan

# After 28 years dates come again on the same weekdays (until 2100): they show every text of every
# letter whose part comes again, also when steps move them.
_ALL_TIME = minute_of(datetime(2024, 1, 1, tzinfo=UTC)), minute_of(datetime(2052, 1, 1, tzinfo=UTC))


class Reach:
    """What the letters of a plan's clocks print from the first of some minutes to the end; without
    minutes, ever."""

    def __init__(self, plan: Plan, minutes: tuple[int, int] | None = None) -> None:
        self.plan = plan
        self.minutes = minutes
        self._printers: dict[str, Printer] = {}

    def texts(self, clock: str, part: Part) -> frozenset[str]:
        """Every text a part of a date pattern can print."""
        [atom] = letters_of(self.plan, ClockText(clock, Pattern((part,))))
        if isinstance(atom, Literal):
            return frozenset([atom.text])
        if not LETTERS[part.letter].part.returns and self.minutes is None and self._goes_on(clock):
            return frozenset(map(part.render, _every_year()))
        if clock not in self._printers:
            tracks = Tracks(self.plan, *(self.minutes or _ALL_TIME))
            self._printers[clock] = Printer(self.plan, tracks.line([clock], []))
        _, printed = self._printers[clock].printed(atom)
        return frozenset(printed.texts)

    def _goes_on(self, clock: str) -> bool:
        return self.plan.clocks[clock].root.zone is not None


@cache
def _every_year() -> tuple[ClockValue, ...]:
    """The middle of every year, which is in the same year of weeks."""
    return tuple(fixed_clock(date(year, 7, 1)) for year in range(1, 10_000))
