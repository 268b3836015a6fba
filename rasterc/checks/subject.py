"""What the rules look at: a message at one instant, on one line, and at other instants if asked."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from functools import cached_property, wraps
from itertools import chain
from typing import Any, TypeVar

from rasterc.checks.rows import (
    MAX_WHOLE,
    Seen,
    number_of_rows,
    row_instants,
    row_names,
    telling,
    whole_text,
)
from rasterc.diagnostics import Diagnostic, InputError
from rasterc.fonts.model import Font
from rasterc.layout import Composer, lay_out
from rasterc.layout.model import Layout
from rasterc.profile.model import LineProfile, RasterTiming
from rasterc.source.message import Line, Message
from rasterc.source.pieces import Literal
from rasterc.values import Instant, Moment, Plan, ResolvedMessage
from rasterc.values.moved import with_dates

_Found = TypeVar("_Found")

MAX_CASES = 500
"""Kinds of rows that rules look at one by one."""

# 41 of these steps are more than a year. They meet every month (none is shorter than the step),
# every weekday (9 days go through all seven) and every hour (7 and 24 have no common divisor).
_STEP = timedelta(days=9, hours=7)
_STEPS = 41


@dataclass(frozen=True)  # no slots: what is asked for later is kept in the instance
class Subject:
    """What the rules look at: a message at one instant, on one line.

    ``layout`` is None when the message could not be laid out; ``faults`` then says why.
    ``resolved_at`` are the values it was resolved with, where they are known still; ``kept`` is
    what was looked up already: see `once`. ``picked`` are the inputs and counters that pick rows,
    in a subject that stands for one of several rows. Where dates depend on rows of product tables
    the plan and the message are those of the case that is printed.
    """

    plan: Plan
    resolved: ResolvedMessage
    fonts: Mapping[str, Font]
    layout: Layout | None
    faults: tuple[Diagnostic, ...] = ()
    profile: LineProfile | None = None
    composer: Composer = field(default_factory=Composer, repr=False)
    resolved_at: Moment | None = field(default=None, repr=False, compare=False)
    picked: tuple[str, ...] = ()
    kept: dict[Callable[[Subject], Any], Any] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    @property
    def message(self) -> Message:
        """The message."""
        return self.resolved.message

    @property
    def whole(self) -> Plan:
        """The plan of all cases."""
        return self.plan.whole or self.plan

    @cached_property
    def all_cases(self) -> bool:
        """Whether each kind of row that dates depend on is looked at, and can be printed."""
        cases = self.whole.cases
        return cases is None or (len(cases) <= MAX_CASES and self._all_printed)

    @cached_property
    def all_rows(self) -> bool:
        """Whether each row that differs in leads, dates or numbers is looked at, and can be
        printed."""
        return self._seen is not None and self._all_printed

    @property
    def all_words(self) -> bool:
        """Whether this is so of each row that differs in any word."""
        return self.all_rows and self._seen is whole_text

    @cached_property
    def others(self) -> tuple[Subject, ...]:
        """The message with one row of each other kind, as far as it can be printed; the same
        moment and other values. Rows are of one kind when all that is printed of them agrees;
        where these are too many, when dates, leads and numbers agree; where these are too many
        still, when what dates depend on agrees. None when these are too many as well."""
        found: list[Subject] = []
        for instant in self._other_rows:
            with suppress(InputError):  # what cannot be printed is told of all values
                found.append(replace(self.with_values(instant), picked=row_names(self.message)))
        return tuple(found)

    @property
    def _all_printed(self) -> bool:
        return len(self.others) == len(self._other_rows)

    @cached_property
    def _plain(self) -> tuple[Plan, ...]:
        """The plain messages, where they are few enough to be looked at."""
        cases = self.whole.cases
        few = cases is None or len(cases) <= MAX_CASES
        return tuple(self.whole.plain()) if few else ()

    @cached_property
    def _seen(self) -> Seen | None:
        """What makes rows differ; None where they are too many to be looked at."""
        if not self._plain:
            return None
        ways: tuple[tuple[Seen, int], ...] = ((whole_text, MAX_WHOLE), (telling, MAX_CASES))
        few = (way for way, most in ways if number_of_rows(self._plain, way) <= most)
        return next(few, None)

    @cached_property
    def _other_rows(self) -> tuple[Instant, ...]:
        given = self.resolved.instant
        if self._seen is None:
            own = self.plan
            return tuple(self.of_case(plan) for plan in self._plain if plan is not own)
        rows = (row_instants(plan, given, self._seen) for plan in self._plain)
        found = chain.from_iterable(rows)
        return tuple(one for one in found if not _same_values(one, given))

    def of_case(self, plan: Plan) -> Instant:
        """The subject's instant with a row of another case."""
        given, names = self.resolved.instant, self.whole.cases.names if self.whole.cases else ()
        counters = {n: value for n, value in given.counters.items() if n not in names}
        inputs = {n: text for n, text in given.inputs.items() if n not in names}
        return plan.completed(Instant(given.when, counters, inputs))

    @cached_property
    def row(self) -> str:
        """What picks the row, in words: ``sku "4711"``; "" when no date depends on one, and this
        is none of several that are looked at."""
        given, cases = self.resolved.instant, self.whole.cases
        names = dict.fromkeys((*(cases.names if cases else ()), *self.picked))
        texts = (f'{n} "{given.inputs[n]}"' for n in names if n in given.inputs)
        return ", ".join(
            (*texts, *(f"{n} {given.counters[n]}" for n in names if n in given.counters))
        )

    @cached_property
    def at(self) -> str:
        """The instant as text, "" for a message that reads no clock; with what picks a row that
        dates depend on."""
        when = self.when.isoformat(" ", "minutes") if self.when else ""
        return ", ".join(filter(None, (when, self.row)))

    @cached_property
    def when(self) -> datetime | None:
        """The instant, with its zone; None for a message that reads no clock."""
        return self.resolved.instant.when if self.plan.clocks_read() else None

    @cached_property
    def moment(self) -> Moment:
        """The values of the message at its instant."""
        return self.resolved_at or self.plan.at(self.resolved.instant)

    @property
    def raster(self) -> RasterTiming | None:
        """How the profile throws the message's raster, None if it does not or there is none."""
        return self.profile.raster(self.message.raster) if self.profile else None

    @cached_property
    def printed_lines(self) -> tuple[tuple[Line, Font, str], ...]:
        """Every line that prints something, with its font and text."""
        texts = zip(self.message.lines, self.resolved.lines, strict=True)
        return tuple(
            (line, self.fonts[line.font], text)
            for line, text in texts
            if text.strip() and line.font in self.fonts
        )

    @cached_property
    def lines_to_print(self) -> tuple[tuple[Line, Font], ...]:
        """Every line that prints something, at this instant or maybe at another, with its font."""
        return tuple(
            (line, self.fonts[line.font])
            for line in self.message.lines
            if _may_print(line) and line.font in self.fonts
        )

    def moved(self, when: datetime) -> Subject:
        """The same message with the same counters and inputs at another moment; typed dates are
        moved to the nearest day that they may be then.

        Raises:
            InputError: it has no text then.
        """
        given = self.resolved.instant
        instant = Instant(when, given.counters, given.inputs)
        return self.with_values(with_dates(self.plan, instant))

    def with_values(self, instant: Instant) -> Subject:
        """The same message at another instant.

        Raises:
            InputError: it has no text then.
        """
        plan = self.whole.case(instant)
        moment = plan.at(instant)
        resolved = plan.resolved(moment)
        layout: Layout | None = None
        faults: tuple[Diagnostic, ...] = ()
        try:
            layout = lay_out(resolved, self.fonts, self.composer)
        except InputError as error:
            faults = error.diagnostics
        return Subject(
            plan,
            resolved,
            self.fonts,
            layout,
            faults,
            self.profile,
            self.composer,
            moment,
            self.picked,
        )

    @cached_property
    def year(self) -> Year:
        """The message through a year from the instant: every month, weekday and hour."""
        if self.when is None:
            return Year()
        start = self.when.astimezone(UTC)
        prints: list[Subject] = []
        failures: list[tuple[str, Diagnostic]] = []
        for step in range(1, _STEPS + 1):
            when = (start + step * _STEP).astimezone(self.when.tzinfo)
            try:
                prints.append(self.moved(when))
            except InputError as error:
                at = when.isoformat(" ", "minutes")
                failures += [(at, fault) for fault in error.diagnostics]
        return Year(tuple(prints), tuple(failures))


@dataclass(frozen=True, slots=True)
class Year:
    """A message at moments spread over a year.

    Attributes:
        prints: the message at those moments.
        failures: moments at which it has no text, and why.
    """

    prints: tuple[Subject, ...] = ()
    failures: tuple[tuple[str, Diagnostic], ...] = ()


def once(look: Callable[[Subject], _Found]) -> Callable[[Subject], _Found]:
    """Let what a function finds in a subject be looked up once for all rules.

    What is found must not be changed by those who ask.
    """

    @wraps(look)
    def kept(subject: Subject) -> _Found:
        if look not in subject.kept:
            subject.kept[look] = look(subject)
        found: _Found = subject.kept[look]
        return found

    return kept


def _same_values(one: Instant, other: Instant) -> bool:
    return one.inputs == other.inputs and one.counters == other.counters


def _may_print(line: Line) -> bool:
    return any(not isinstance(part, Literal) or part.text.strip() for part in line.pieces)
