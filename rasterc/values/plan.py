"""A message made ready: everything understood that does not depend on the instant."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime
from zoneinfo import ZoneInfo

from msgspec import Struct

from rasterc.diagnostics import Diagnostic, InputError, fail_on_errors
from rasterc.source.message import Block, Line, Message, Picture
from rasterc.source.times import Clock
from rasterc.values.dates.clocks import ClockPlan
from rasterc.values.dates.shifts import Schedule
from rasterc.values.dates.typed import TypedDate
from rasterc.values.fields.kinds import ClockTable, ClockText, FieldPlan, Piece, ShiftText, runs
from rasterc.values.given.inputs import InputRule
from rasterc.values.model import Instant, ResolvedBlock, ResolvedLine, ResolvedMessage
from rasterc.values.moment import Moment, Places
from rasterc.values.rows.cases import Cases


class LinePlan(Struct, frozen=True):
    """A line and its pieces, ready to print."""

    line: Line
    pieces: tuple[Piece, ...]


class BlockPlan(Struct, frozen=True):
    """A block and its lines, ready to print; a picture stays as it is."""

    block: Block
    content: tuple[LinePlan, ...] | Picture


class Plan(Struct, frozen=True):
    """A message with everything understood that does not depend on the instant.

    Attributes:
        clocks, schedules, inputs: by name; those with faults are missing.
        fields: every field that is printed, also through texts and checks.
        faults: what is wrong with the message; it resolves only when none is an error.
        cases: of a message whose dates depend on rows of product tables, the plain messages that
            it is the union of. Its clocks and fields are those of the first case: they tell what
            is the same in all.
        whole: of a case, the plan of the whole message.
    """

    message: Message
    clocks: Mapping[str, ClockPlan]
    schedules: Mapping[str, Schedule]
    inputs: Mapping[str, InputRule]
    blocks: tuple[BlockPlan, ...]
    fields: tuple[FieldPlan, ...]
    faults: tuple[Diagnostic, ...] = ()
    cases: Cases | None = None
    whole: Plan | None = None

    def __repr__(self) -> str:
        """The message's name."""
        return f"<Plan {self.message.name}>"

    def at(self, instant: Instant, places: Places | None = None) -> Moment:
        """The message's values at an instant, each computed when first asked for.

        Raises:
            InputError: the message itself has faults.
        """
        fail_on_errors(self.faults)
        plan = self.case(instant, places)
        return Moment(plan, instant, places or Places())

    def case(self, instant: Instant, places: Places | None = None) -> Plan:
        """The plain message that prints at an instant: itself, but for one with cases.

        Raises:
            InputError: the message has faults, or what picks a row is missing or has none.
        """
        fail_on_errors(self.faults)
        if self.cases is None:
            return self
        moment = Moment(self, instant, places or Places())
        fail_on_errors(moment.faults_of_given())
        return self.cases.at(moment)

    def completed(self, instant: Instant) -> Instant:
        """The instant with what picks the rows of a case, where that is left open."""
        names = self.whole.cases.names if self.whole and self.whole.cases else ()
        inputs = {n: self.inputs[n].texts[0] for n in names if n in self.inputs}
        counters = {n: self.message.counters[n].first for n in names if n not in inputs}
        given = instant.counters, instant.inputs
        return Instant(instant.when, {**counters, **given[0]}, {**inputs, **given[1]})

    def plain(self) -> Iterator[Plan]:
        """The plain messages that this one is the union of: itself, or its cases.

        Raises:
            InputError: the message has faults, or they are too many to be looked at.
        """
        fail_on_errors(self.faults)
        return iter((self,)) if self.cases is None else self.cases.plans()

    def when(self, instant: Instant) -> datetime:
        """The moment of an instant, with its zone; raises `InputError` as `Moment.when`."""
        fail_on_errors(self.faults)
        return Moment(self, instant, Places()).when()

    def resolve(self, instant: Instant, places: Places | None = None) -> ResolvedMessage:
        """The texts of the message at an instant. The same instant gives the same texts.

        A naive time is wall time in the zone of the message's clocks; of a wall time that comes
        twice when clocks go back it is the first, unless its ``fold`` is 1. The result's instant
        holds all that was used: the moment in the zone of the clocks that are read, when they
        share one, and the value of every counter and input, given or not.

        Raises:
            InputError: with every fault of the message or of the instant: the time is missing or
                does not exist, a counter does not reach its value, an input is missing or does
                not match, a table lacks a key, a check meets a foreign character, a date leaves
                the years 1 to 9999, or a name is unknown.
        """
        if self.cases is not None:
            return self.case(instant, places).resolve(instant, places)
        return self.resolved(self.at(instant, places))

    def resolved(self, moment: Moment) -> ResolvedMessage:
        """The texts of the message at a moment of its own; see `resolve`."""
        faults = moment.faults_of_given()
        blocks = [_resolve_block(block, moment, faults) for block in self.blocks]
        if faults:
            raise InputError(dict.fromkeys(faults))
        return ResolvedMessage(self.message, self._used(moment), tuple(blocks))

    def _used(self, moment: Moment) -> Instant:
        """The instant with all that was used of it and of the message's defaults."""
        given, clocks = moment.instant, self.clocks_read()
        when = moment.when() if clocks else given.when
        zones = {clock.zone for clock in clocks if clock.zone is not None}
        if when is not None and len(zones) == 1:
            when = when.astimezone(ZoneInfo(zones.pop()))
        texts = {
            name: moment.input(name)
            for name, rule in self.inputs.items()
            if name in given.inputs or rule.input.default is not None
        }
        return Instant(when, {n: moment.counter(n) for n in self.message.counters}, texts)

    def clocks_read(self) -> tuple[Clock, ...]:
        """The clocks read from the instant that printed fields and limits of dates depend on."""
        names = dict.fromkeys(filter(None, (self._clock_of(field) for field in self.fields)))
        limits = (end for date in self.dates.values() for end in (*date.firsts, *date.lasts))
        roots = (self.clocks[name].root for name in dict.fromkeys((*names, *limits)))
        return tuple({root.name: root for root in roots if root.zone is not None}.values())

    @property
    def dates(self) -> Mapping[str, TypedDate]:
        """The inputs that are dates, by name."""
        rules = self.inputs.items()
        return {name: rule.date for name, rule in rules if rule.date is not None}

    def _clock_of(self, field: FieldPlan) -> str | None:
        match field.source:
            case ClockText(clock, _) | ClockTable(clock, _, _):
                return clock
            case ShiftText(shift):
                return self.schedules[shift].shift.clock
        return None


def _resolve_block(plan: BlockPlan, moment: Moment, faults: list[Diagnostic]) -> ResolvedBlock:
    if isinstance(plan.content, Picture):
        return ResolvedBlock(plan.block, plan.content)
    lines: list[ResolvedLine] = []
    for line in plan.content:
        try:
            lines.append(ResolvedLine(line.line, runs(line.pieces, moment)))
        except InputError as error:
            faults += error.diagnostics
    return ResolvedBlock(plan.block, tuple(lines))
