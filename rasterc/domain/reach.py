"""The texts of date letters, whenever they are printed or within some time."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from functools import cache, lru_cache

from msgspec import structs

from rasterc.diagnostics import SourceText, Span
from rasterc.domain.atoms import Literal, letters_of
from rasterc.domain.printer import Printer
from rasterc.domain.timeline import Tracks
from rasterc.domain.typed import FIRST, LAST, days_within, printer_of_days
from rasterc.values.dates.clocks import ClockValue, fixed_clock
from rasterc.values.dates.languages import find_names
from rasterc.values.dates.offsets import minute_of
from rasterc.values.dates.patterns import LETTERS, Part, Pattern
from rasterc.values.fields.kinds import ClockText
from rasterc.values.plan import Plan

_NOWHERE = Span(SourceText("", ""), 0, 0)
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
            return _years(part.letter, part.count)
        chain = _chain(self.plan, clock)
        if self.minutes is None and chain is not None:
            return _ever(chain, part)
        if clock not in self._printers:
            self._printers[clock] = self._printer(clock)
        return _texts(self._printers[clock], clock, part)

    def _printer(self, clock: str) -> Printer:
        root = self.plan.clocks[clock].root
        if root.typed:
            minutes = self.minutes
            days = days_within(self.plan, root.name, minutes) if minutes else None
            return printer_of_days(self.plan, root.name, *(days or (FIRST, LAST)))
        return _printer(self.plan, clock, self.minutes or _ALL_TIME)

    def _goes_on(self, clock: str) -> bool:
        return self.plan.clocks[clock].root.zone is not None


@dataclass(frozen=True, slots=True)
class _Chain:
    """A clock of a plan; equal to all that are read and moved in the same way."""

    moves: tuple[object, ...]
    plan: Plan = field(compare=False)
    clock: str = field(compare=False)


def _chain(plan: Plan, name: str) -> _Chain | None:
    """A clock that is read from the instant; None for another, and for one of a shift."""
    moves: list[object] = []
    at: str | None = name
    while at is not None:
        clock = plan.clocks[at].clock
        if clock.shift is not None or clock.fixed is not None or clock.typed:
            return None
        steps = tuple(structs.replace(step, span=_NOWHERE) for step in clock.steps)
        moves.append((steps, clock.short_month, clock.zone, clock.day_from_minutes))
        at = clock.base
    return _Chain(tuple(moves), plan, name)


@lru_cache(maxsize=1024)
def _ever(chain: _Chain, part: Part) -> frozenset[str]:
    """Every text that a part of a date pattern can print, ever."""
    return _texts(*_printer_of(chain), part)


@lru_cache(maxsize=16)
def _printer_of(chain: _Chain) -> tuple[Printer, str]:
    """A printer, and how it calls the clock."""
    return _printer(chain.plan, chain.clock, _ALL_TIME), chain.clock


def _printer(plan: Plan, clock: str, minutes: tuple[int, int]) -> Printer:
    return Printer(plan, Tracks(plan, *minutes).line([clock], []))


def _texts(printer: Printer, clock: str, part: Part) -> frozenset[str]:
    """The texts that a part of a pattern prints over a timeline."""
    [atom] = letters_of(printer.plan, ClockText(clock, Pattern((part,))))
    assert not isinstance(atom, Literal)
    _, printed = printer.printed(atom)
    return frozenset(printed.texts)


@cache
def _every_year() -> tuple[ClockValue, ...]:
    """The middle of every year, which is in the same year of weeks."""
    return tuple(fixed_clock(date(year, 7, 1)) for year in range(1, 10_000))


@cache
def _years(letter: str, count: int) -> frozenset[str]:
    """Every text of a year, which is written in digits in every language."""
    render = LETTERS[letter].make(count, find_names("en", None))
    return frozenset(map(render, _every_year()))


def names_shown(part: Part) -> tuple[str, ...]:
    """What a part of a date pattern prints for every name of a month, day or half day there is:
    equal for parts that print the same."""
    return tuple(map(part.render, _every_name()))


@cache
def _every_name() -> tuple[ClockValue, ...]:
    days = [datetime(2027, 1, day, 9 + 6 * (day % 2)) for day in range(1, 15)]
    months = [datetime(2027, month, 1, 12) for month in range(1, 13)]
    return tuple(ClockValue(moment, moment.date()) for moment in (*days, *months))
