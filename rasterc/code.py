"""A message ready to be used: what Python programs hold in hand."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING, Any

from rasterc.diagnostics import InputError
from rasterc.layout import Composer
from rasterc.moments import When, moment_of, parse_when
from rasterc.printed import Checker, Print
from rasterc.values import Plan
from rasterc.values.model import Instant

if TYPE_CHECKING:
    from rasterc.batch.block import Block
    from rasterc.checks.registry import Report
    from rasterc.checks.survey import Survey
    from rasterc.extremes.model import ExtremesReport
    from rasterc.extremes.model_repeats import RepeatsReport
    from rasterc.fonts.model import Font
    from rasterc.profile.model import LineProfile
    from rasterc.source.message import Message
    from rasterc.tracing.matches import TraceResult

MAX_SURVEY_YEARS = 50


@dataclass(frozen=True, slots=True)
class Code:
    """A message ready to be resolved, with the fonts it prints in.

    Keep it and resolve it as often as you like: what does not change between two instants (date
    patterns, time zones, glyphs) is worked out once.
    """

    message: Message
    plan: Plan
    fonts: Mapping[str, Font]
    composer: Composer = field(default_factory=Composer, repr=False, compare=False)

    def __repr__(self) -> str:
        """The message's name, raster and number of lines."""
        message = self.message
        return f"<Code {message.name}: raster {message.raster}, {len(message.lines)} line(s)>"

    def resolve(
        self,
        when: datetime | str | None = None,
        *,
        counters: Mapping[str, int] | None = None,
        inputs: Mapping[str, str] | None = None,
    ) -> Print:
        """The message at a moment.

        Args:
            when: the moment, or ISO 8601 text such as ``2027-11-25 14:05``. Without an offset it
                is wall time in the zone of the message's clocks. May be left out when the message
                reads no clock.
            counters: the value each counter prints; its first value when not given.
            inputs: the text of each input; its default when not given.

        Raises:
            InputError: with everything that is missing or wrong.
        """
        moment = parse_when(when) if isinstance(when, str) else when
        if moment is not None and not isinstance(moment, datetime):
            help = "give a datetime, or text such as '2027-11-25 14:05'"
            raise InputError.one("not-a-time", f"{moment!r} is not a date and time", help=help)
        return self.resolve_at(Instant(moment, dict(counters or {}), dict(inputs or {})))

    def resolve_at(self, instant: Instant) -> Print:
        """The message at an `Instant`."""
        return Print(self, self.plan.resolve(instant))

    def batch(
        self,
        rows: int | Iterable[Mapping[str, object]] | Any,
        *,
        at: When | None = None,
        every: str | None = None,
        counters: Mapping[str, int] | None = None,
        inputs: Mapping[str, str] | None = None,
        profile: LineProfile | None = None,
    ) -> Iterator[Block]:
        """The message for many rows, in blocks of arrays.

        Args:
            rows: how many; or mappings that tell inputs, counters and moments ("at") by name; or a
                table of such columns from pandas, polars or pyarrow.
            at: the moment of the first row.
            every: the time from row to row: "0.24s", "250/min", or "line" by the profile; time
                stands still when not given.
            counters: with what counters begin that rows do not tell; they go on from row to row,
                and the blocks end before the row that a counter cannot number.
            inputs: texts of inputs that rows do not tell.
            profile: turns and mirrors strokes, and tells the time of ``every``.

        Raises:
            InputError: with everything that is missing or wrong; of single rows, each block tells
                its ``refused`` ones.
        """
        from rasterc.batch.api import batch

        instant = Instant(moment_of(at) if at is not None else None, counters or {}, inputs or {})
        return batch(self.plan, self.fonts, self.composer, rows, instant, every, profile)

    def checker(self, profile: LineProfile | None = None) -> Checker:
        """The rules, ready for many prints of this message on one line.

        >>> from rasterc import load_text
        >>> code = load_text('message m { raster 7 font upright-7 block { line: "\u0416" } }')
        >>> check = code.checker()
        >>> [finding.rule for finding in check(code.resolve())]
        ['missing-glyph']
        """
        return Checker(self, profile)

    def check_many(
        self, prints: Iterable[Print], profile: LineProfile | None = None
    ) -> Iterator[Report]:
        """What the rules find in each of many prints of this message, and what it silences."""
        checker = self.checker(profile)
        return (checker.report(printed) for printed in prints)

    def check_all(
        self,
        start: When,
        years: int = 5,
        *,
        profile: LineProfile | None = None,
        counters: Mapping[str, int] | None = None,
        inputs: Mapping[str, str] | None = None,
    ) -> Survey:
        """What the rules find over some years from a moment, at every edge and extreme.

        Args:
            start: the first moment.
            years: how many years to look ahead, at most 50.
            profile: the line; without one, rules about speed and size find nothing.
            counters: the value each counter prints at the edges; its first value when not given.
            inputs: likewise; a default, an example of the message or a made-up text when not given.

        Raises:
            InputError: it cannot be printed at the start, or the years cannot be looked at.
        """
        from rasterc.checks.samples import sample_inputs
        from rasterc.checks.survey import survey
        from rasterc.values.dates.offsets import check_horizon

        begin = moment_of(start)
        check_horizon(begin, years, MAX_SURVEY_YEARS)
        texts = sample_inputs(self.plan, dict(inputs or {}), begin)
        printed = self.resolve(begin, counters=counters, inputs=texts)
        return survey(printed.subject(profile), years)

    def extremes(
        self,
        start: When,
        years: int = 10,
        *,
        measures: Sequence[str] = (),
        profile: LineProfile | None = None,
        window: int = 20,
        lost: float = 0.02,
    ) -> ExtremesReport:
        """What the message comes to at the most and at the least, over every value it can take.

        Args:
            start: the first moment.
            years: how many calendar years.
            measures: "longest", "most-drops", ...; all when empty.
            profile: gives lengths in mm and ink.
            window: strokes of the window for "densest".
            lost: share of drops lost, for the risk of misreading.

        Raises:
            InputError: as `rasterc.extremes.report.extremes`.
        """
        from rasterc.extremes.report import extremes

        return extremes(
            self.plan, self.fonts, moment_of(start), years, profile=profile, window=window,
            loss=lost, measures=measures, composer=self.composer,
        )  # fmt: skip

    def repeats(
        self, start: When, years: int = 120, *, fields: Sequence[str] = ()
    ) -> RepeatsReport:
        """The shortest time after which the code, or fields of it, can print again.

        Args:
            start: the first moment.
            years: calendar years in which both prints lie.
            fields: names of fields; none for the whole code.

        Raises:
            InputError: a name is not printed, or the years cannot be looked at.
        """
        from rasterc.extremes.repeats import repeats

        return repeats(self.plan, moment_of(start), years, fields=fields)

    def trace(
        self, lines: Sequence[str], start: When | None = None, years: int = 10
    ) -> TraceResult:
        """All that could have printed some lines.

        Args:
            lines: as read, block by block, from top to bottom; "?" is a character that could not
                be read, "*" alone a line.
            start: where the search starts; may be left out when the message reads no clock.
            years: how many calendar years are searched.

        Raises:
            InputError: too few or too many lines, too little was read, or the years cannot be
                looked at.
        """
        from rasterc.tracing.trace import trace

        return trace(self.plan, lines, None if start is None else moment_of(start), years)
