"""What the rules look at: a message at one instant, on one line, and at other instants if asked."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from functools import cached_property, wraps
from typing import Any, TypeVar

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

# 41 of these steps are more than a year. They meet every month (none is shorter than the step),
# every weekday (9 days go through all seven) and every hour (7 and 24 have no common divisor).
_STEP = timedelta(days=9, hours=7)
_STEPS = 41


@dataclass(frozen=True)  # no slots: what is asked for later is kept in the instance
class Subject:
    """What the rules look at: a message at one instant, on one line.

    ``layout`` is None when the message could not be laid out; ``faults`` then says why.
    ``resolved_at`` are the values it was resolved with, where they are known still; ``kept`` is
    what was looked up already: see `once`.
    """

    plan: Plan
    resolved: ResolvedMessage
    fonts: Mapping[str, Font]
    layout: Layout | None
    faults: tuple[Diagnostic, ...] = ()
    profile: LineProfile | None = None
    composer: Composer = field(default_factory=Composer, repr=False)
    resolved_at: Moment | None = field(default=None, repr=False, compare=False)
    kept: dict[Callable[[Subject], Any], Any] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    @property
    def message(self) -> Message:
        """The message."""
        return self.resolved.message

    @cached_property
    def at(self) -> str:
        """The instant as text, "" for a message that reads no clock."""
        when = self.when
        return when.isoformat(" ", "minutes") if when else ""

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
        moment = self.plan.at(instant)
        resolved = self.plan.resolved(moment)
        layout: Layout | None = None
        faults: tuple[Diagnostic, ...] = ()
        try:
            layout = lay_out(resolved, self.fonts, self.composer)
        except InputError as error:
            faults = error.diagnostics
        return Subject(
            self.plan, resolved, self.fonts, layout, faults, self.profile, self.composer, moment
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


def _may_print(line: Line) -> bool:
    return any(not isinstance(part, Literal) or part.text.strip() for part in line.pieces)
