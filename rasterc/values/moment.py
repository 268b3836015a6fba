"""The values of a message at one instant."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from datetime import date, datetime
from typing import TYPE_CHECKING, Protocol
from zoneinfo import ZoneInfo

from msgspec import Struct, field

from rasterc.diagnostics import Diagnostic, InputError, Span, did_you_mean
from rasterc.source.quoting import composed
from rasterc.values.dates.clocks import ClockPlan, ClockValue, apply_steps, fixed_clock, read_clock
from rasterc.values.dates.shifts import RunningShift
from rasterc.values.dates.typed import FIRST_DAY, LAST_DAY
from rasterc.values.dates.zones import existing
from rasterc.values.given.counters import text_of
from rasterc.values.model import Instant

if TYPE_CHECKING:
    from rasterc.source.message import Message
    from rasterc.source.times import Clock
    from rasterc.values.dates.shifts import Schedule
    from rasterc.values.dates.typed import TypedDate
    from rasterc.values.given.inputs import InputRule


class Ready(Protocol):
    """What a moment needs of a message made ready."""

    @property
    def message(self) -> Message:
        """The message."""

    @property
    def clocks(self) -> Mapping[str, ClockPlan]:
        """Its clocks, by name."""

    @property
    def schedules(self) -> Mapping[str, Schedule]:
        """Its shifts, by name."""

    @property
    def inputs(self) -> Mapping[str, InputRule]:
        """Its inputs, by name."""

    def clocks_read(self) -> tuple[Clock, ...]:
        """The clocks read from the instant that its printed fields depend on."""


class Places(Struct, frozen=True):
    """Where the parts of an instant are written, when they stand in a source text."""

    when: Span | None = None
    values: Mapping[str, Span] = field(default_factory=dict)


class Moment:
    """The values of a message at one instant. Each is computed once and shared by all fields.

    Without ``limited`` dates that are typed are not held to their limits, for which the time has to
    be known.
    """

    __slots__ = (
        *("_clocks", "_inputs", "_limited", "_shifts", "_texts", "_when"),
        *("instant", "places", "plan"),
    )

    def __init__(
        self, plan: Ready, instant: Instant, places: Places, *, limited: bool = True
    ) -> None:
        self.plan = plan
        self._limited = limited
        self.instant = instant
        self.places = places
        self._when: datetime | None = None
        self._clocks: dict[str, ClockValue] = {}
        self._shifts: dict[str, RunningShift] = {}
        self._inputs: dict[str, str] = {}
        self._texts: dict[str, str | InputError] = {}

    def when(self) -> datetime:
        """The moment, with its zone.

        Raises:
            InputError: it is missing, does not exist, or cannot be told.
        """
        if self._when is None:
            self._when = self._find_when()
        return self._when

    def clock(self, name: str) -> ClockValue:
        """What a clock shows.

        Raises:
            InputError: the time is missing or leaves the years 1 to 9999.
        """
        if name not in self._clocks:
            self._clocks[name] = self._find_clock(self.plan.clocks[name])
        return self._clocks[name]

    def shift(self, name: str) -> RunningShift:
        """The running part of a shift.

        Raises:
            InputError: as for `clock`.
        """
        if name not in self._shifts:
            schedule = self.plan.schedules[name]
            wall = self.clock(schedule.shift.clock).wall
            with _within_years(f"the start of shift {name}", schedule.shift.span):
                self._shifts[name] = schedule.running(wall)
        return self._shifts[name]

    def counter(self, name: str) -> int:
        """The value of a counter: its first when none is given.

        Raises:
            InputError: the counter never prints the value given.
        """
        counter = self.plan.message.counters[name]
        value = self.instant.counters.get(name, counter.first)
        if not isinstance(value, int) or isinstance(value, bool):
            message = f"counter {name} takes a whole number, not {value!r}"
            raise InputError.one("bad-counter-value", message, help="convert it with int()")
        if value in counter.values:
            return value
        last, step = counter.values[-1], f" in steps of {counter.step}" if counter.step > 1 else ""
        shown = text_of(counter, value) if value >= 0 else str(value)
        raise InputError.one(
            "counter-out-of-reach",
            f"counter {name} never prints {shown}",
            self.places.values.get(name, counter.span),
            f"it goes from {text_of(counter, counter.first)} to {text_of(counter, last)}{step}",
        )

    def input(self, name: str) -> str:
        """The text of an input: its default when none is given.

        Raises:
            InputError: there is none, or it is not what the input may be.
        """
        if name not in self._inputs:
            self._inputs[name] = self._find_input(name)
        return self._inputs[name]

    def _find_input(self, name: str) -> str:
        rule = self.plan.inputs[name]
        text = self.instant.inputs.get(name, rule.input.default)
        span = self.places.values.get(name, rule.input.span)
        if text is None:
            message = f"input {name} is missing"
            raise InputError.one("input-missing", message, span, rule.remedy)
        if not isinstance(text, str):
            message = f"input {name} takes a text, not {text!r}"
            raise InputError.one("bad-input", message, help="convert it with str()")
        text = composed(text)
        if faults := rule.faults(text, span):
            raise InputError(faults)
        if rule.date is not None and self._limited:
            self._hold(rule.date, name, text, span)
        return text

    def days(self, name: str) -> tuple[date, date]:
        """The first and the last day that a date may be that is typed; none if they are crossed.

        Raises:
            InputError: the time is missing.
        """
        typed = self.plan.inputs[name].date
        assert typed is not None
        firsts = (self.clock(end).day for end in typed.firsts)
        lasts = (self.clock(end).day for end in typed.lasts)
        return max((FIRST_DAY, *firsts)), min((LAST_DAY, *lasts))

    def _hold(self, typed: TypedDate, name: str, text: str, span: Span) -> None:
        """Hold a date to its limits; raises `InputError`."""
        day, (first, last) = typed.day(text), self.days(name)
        if day is None or first <= day <= last:
            return
        limits = dict.fromkeys(limit.span.text for limit in typed.form.limits)
        which = f"before {first}" if day < first else f"after {last}"
        raise InputError.one(
            "date-out-of-limits",
            f'input {name} cannot be "{text}": {day} is {which}, {", ".join(limits)}',
            span,
            f"give a day from {typed.text(first)} to {typed.text(last)}"
            if first <= last
            else "no day is within all limits at this moment: look at them",
        )

    def named(self, name: str, compute: Callable[[], str]) -> str:
        """The text kept under a name, computed when it is not there yet.

        Raises:
            InputError: as ``compute`` did.
        """
        if name not in self._texts:
            try:
                self._texts[name] = compute()
            except InputError as error:
                self._texts[name] = error
        text = self._texts[name]
        if isinstance(text, InputError):
            raise text
        return text

    def faults_of_given(self) -> list[Diagnostic]:
        """What is wrong with the counters and inputs given, printed or not."""
        message, given = self.plan.message, self.instant
        return [
            *self._check("counter", given.counters, message.counters, self.counter),
            *self._check("input", given.inputs, message.inputs, self.input),
        ]

    def _check(
        self, kind: str, given: Iterable[str], known: Iterable[str], get: Callable[[str], object]
    ) -> list[Diagnostic]:
        faults: list[Diagnostic] = []
        for name in given:
            if name not in known:
                message = f'the message has no {kind} "{name}"'
                help = did_you_mean(name, known) or f"it declares no {kind}"
                place = self.places.values.get(name)
                faults.append(Diagnostic("unknown-name", message, place, help))
                continue
            try:
                get(name)
            except InputError as error:
                faults += error.diagnostics
        return faults

    def _find_when(self) -> datetime:
        when, place = self.instant.when, self.places.when
        if when is None:
            names = ", ".join(clock.name for clock in self.plan.clocks_read())
            message = f"the message needs a date and time for its clock {names}"
            raise InputError.one("time-missing", message, place, "give the moment of printing")
        zone = when.tzinfo
        with _within_years(f"the moment {when}", place):
            if zone is None:
                return existing(when, self._zone(), place)
            if isinstance(zone, ZoneInfo):
                existing(when.replace(tzinfo=None), zone, place)
        return when

    def _zone(self) -> ZoneInfo:
        """The one zone of the message's clocks: what a naive time is meant in."""
        clocks = self.plan.clocks_read() or tuple(plan.root for plan in self.plan.clocks.values())
        zones = {clock.zone for clock in clocks if clock.zone is not None}
        if len(zones) == 1:
            return ZoneInfo(zones.pop())
        listed = ", ".join(sorted(zones))
        message = f"the message's clocks are in several time zones: {listed}"
        help = "give the time with its offset from UTC, 14:05+01:00 say"
        raise InputError.one("zone-unclear", message, self.places.when, help)

    def _find_clock(self, plan: ClockPlan) -> ClockValue:
        start = self._start(plan)
        with _within_years(f"clock {plan.clock.name}", plan.clock.span):
            return apply_steps(start, plan)

    def _start(self, plan: ClockPlan) -> ClockValue:
        """What the clock shows before its steps."""
        clock = plan.clock
        if clock.base is not None:
            return self.clock(clock.base)
        if clock.shift is not None:
            return self.shift(clock.shift).start
        if clock.fixed is not None:
            return fixed_clock(clock.fixed)
        if clock.typed:
            return self._typed(clock.name)
        zone, when = plan.zone, self.when()
        assert zone is not None
        with _within_years(f"clock {clock.name}", clock.span):
            return read_clock(when, zone, plan.day_from_minutes)

    def _typed(self, name: str) -> ClockValue:
        date, text = self.plan.inputs[name].date, self.input(name)
        day = date.day(text) if date is not None else None
        assert day is not None  # else it is no date, which has been said
        return fixed_clock(day)


@contextmanager
def _within_years(what: str, span: Span | None) -> Iterator[None]:
    """Report a date that leaves what Python's calendar knows."""
    try:
        yield
    except OverflowError:
        message = f"{what} is outside the years 1 to 9999"
        help = "use a date and offsets that stay within them"
        raise InputError.one("date-out-of-range", message, span, help) from None
