"""From printed lines back to every instant, counter value and input that could have printed them.

The clocks of a plan are laid out over the whole horizon at once (`timeline`); the text of every
field is known as a function of the day, of the minute of the day, or of the digits of a counter.
Each way to split a line between its fields then gives one set of candidates, narrowed field by
field. The result is exact: every minute that can print the lines, and no other.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from heapq import merge
from zoneinfo import ZoneInfo

import numpy as np

from rasterc.diagnostics import InputError
from rasterc.domain.atoms import Kind, lines_of
from rasterc.domain.chosen import Chosen
from rasterc.domain.chosen import joined as joined_ranges
from rasterc.domain.horizon import home_zone, stretch
from rasterc.domain.progress import Progress, counted, quiet
from rasterc.domain.templates import Template, any_of, template_of
from rasterc.domain.timeline import timeline
from rasterc.tracing.candidates import Candidates, is_possible, joined
from rasterc.tracing.terms import Term
from rasterc.tracing.terms_of import TermMaker
from rasterc.tracing.verify import Found, verified
from rasterc.values.dates.offsets import FIRST_YEAR, Minutes, moment_of
from rasterc.values.fields.kinds import CheckText
from rasterc.values.plan import Plan

DEFAULT_YEARS, MAX_YEARS = 10, 100
UNREAD_LINE = "*"
"""Given for a line of which nothing could be read."""

_MAX_WAYS = 20_000


@dataclass(frozen=True, slots=True)
class CounterRanges:
    """Values of a counter, as ranges; ``more`` when there are others still."""

    ranges: tuple[range, ...]
    more: bool = False


@dataclass(frozen=True, slots=True)
class Match:
    """A stretch of time that could have printed the lines, and with what.

    Attributes:
        start: the first moment, None for a message that reads no clock.
        until: the moment after the last, to the minute.
        counters: the values of each printed counter that was read.
        inputs: the texts of each printed input, `?` for a character that is not known.
    """

    start: datetime | None
    until: datetime | None
    counters: Mapping[str, CounterRanges]
    inputs: Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Failure:
    """Why nothing can have printed the lines.

    ``line`` and ``place`` count from 0: up to that character a print is possible, and with it none
    is; -1 when no place can be told.
    """

    message: str
    line: int = -1
    place: int = -1


@dataclass(frozen=True, slots=True, eq=False)
class Group:
    """Stretches of minutes of UTC, sorted, that go with the same counters and inputs."""

    starts: Minutes
    ends: Minutes
    counters: Mapping[str, CounterRanges]
    inputs: Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True, eq=False)
class TraceResult:
    """What could have printed some lines.

    Attributes:
        lines: what was read.
        groups: the matches, by the counters and inputs they go with.
        zone: the zone moments are given in; None for a message that reads no clock.
        start, until: the horizon searched.
        verified: False when check characters had too many possibilities to be worked out: some
            matches may then be wrong; none is missing.
        failure: why there is no match.
    """

    lines: tuple[str, ...]
    groups: tuple[Group, ...]
    zone: ZoneInfo | None
    start: datetime | None
    until: datetime | None
    verified: bool = True
    failure: Failure | None = None

    def __repr__(self) -> str:
        """The lines and how often they can have been printed."""
        return f"<TraceResult {' / '.join(self.lines)}: {len(self)} time(s), {self.minutes} min>"

    def __len__(self) -> int:
        return sum(len(group.starts) for group in self.groups)

    @property
    def minutes(self) -> int:
        """Minutes that could have printed the lines, each counted once."""
        if self.zone is None or not self.groups:
            return 0
        starts = np.concatenate([group.starts for group in self.groups])
        ends = np.concatenate([group.ends for group in self.groups])
        order = np.argsort(starts, kind="stable")
        starts, ends = joined(starts[order], ends[order])
        return int((ends - starts).sum())

    def matches(self) -> Iterator[Match]:
        """Every match, in order of time."""
        numbered = (
            ((int(s), int(e), i) for s, e in zip(group.starts, group.ends, strict=True))
            for i, group in enumerate(self.groups)
        )
        for start, end, index in merge(*numbered):
            group = self.groups[index]
            yield Match(self._moment(start), self._moment(end), group.counters, group.inputs)

    def _moment(self, minute: int) -> datetime | None:
        return None if self.zone is None else moment_of(minute).astimezone(self.zone)


def trace(
    plan: Plan,
    lines: Sequence[str],
    start: datetime | None = None,
    years: int = DEFAULT_YEARS,
    progress: Progress = quiet,
) -> TraceResult:
    """Everything that could have printed ``lines`` within some years from ``start``.

    Args:
        plan: the message.
        lines: the lines as read, block by block, top to bottom; several may be in one text, apart
            by line ends. `?` is a character that could not be read, `*` alone a whole line.
        start: where the search starts. Naive, it is wall time in the zone of the message's
            clocks. Not needed by a message that reads no clock.
        years: how many calendar years are searched.
        progress: told what is done when that takes long.

    Raises:
        InputError: another number of lines than the message prints, too little was read, a start
            or horizon that cannot be, or a field that cannot be traced back.
    """
    first, end = stretch(plan, start or datetime(FIRST_YEAR, 1, 1), years, MAX_YEARS)
    return trace_between(plan, lines, first, end, progress)


def trace_between(
    plan: Plan, lines: Sequence[str], first: int, end: int, progress: Progress = quiet
) -> TraceResult:
    """The same as `trace`, from minute ``first`` of UTC since 1970 to minute ``end``."""
    maker = TermMaker(plan, timeline(plan, first, end))
    terms = _line_terms(plan, maker)
    texts = tuple(text.rstrip("\r") for line in lines for text in line.split("\n"))
    reads = _reads(texts, len(terms))
    search = _Search(terms, maker)
    ways = counted(search.candidates(reads), "ways to split what was read", progress)
    found = [part for among in ways for part in verified(among, maker, progress)]
    groups = _grouped(found)
    reads_clock = bool(plan.clocks_read())
    zone = home_zone(plan) if reads_clock else None
    return TraceResult(
        texts,
        groups,
        zone,
        moment_of(first).astimezone(zone) if zone else None,
        moment_of(end).astimezone(zone) if zone else None,
        all(part.verified for part in found),
        None if groups else _explained(search, reads, texts, plan),
    )


def _line_terms(plan: Plan, maker: TermMaker) -> list[Term]:
    return [maker.joined(line.pieces) for line in lines_of(plan)]


def _reads(texts: Sequence[str], wanted: int) -> list[Template | None]:
    if len(texts) != wanted:
        few = f"{wanted} line{'' if wanted == 1 else 's'}"
        raise InputError.one(
            "wrong-number-of-lines",
            f"the message prints {few}, and {len(texts)} are given",
            help='give all of them, top to bottom; "*" for one of which nothing was read',
        )
    return [None if text == UNREAD_LINE else template_of(text) for text in texts]


@dataclass(frozen=True, slots=True)
class _Search:
    """The lines of a message over a timeline, ready to be searched."""

    terms: Sequence[Term]
    maker: TermMaker

    def candidates(self, reads: Sequence[Template | None]) -> Iterator[Candidates]:
        """The candidates for every way to split the lines.

        Raises:
            InputError: there are too many.
        """
        whole = Candidates(np.ones(len(self.maker.line.starts), np.bool_))
        for ways, among in enumerate(self._from(0, reads, whole)):
            if is_possible(among, self.maker.line):
                yield among
            if ways == _MAX_WAYS:
                raise InputError.one(
                    "too-much-unread",
                    f"what was read can be split between the fields in over {_MAX_WAYS:,} ways",
                    help='give more characters, or "*" for a line of which little was read',
                )

    def _from(
        self, index: int, reads: Sequence[Template | None], among: Candidates
    ) -> Iterator[Candidates]:
        if index == len(reads):
            yield among
            return
        for left in self.terms[index].narrow(reads[index], among):
            yield from self._from(index + 1, reads, left)

    def is_possible(self, reads: Sequence[Template | None]) -> bool:
        """Whether anything prints the lines, whatever their check characters."""
        return next(self.candidates(reads), None) is not None


def _grouped(found: Sequence[Found]) -> tuple[Group, ...]:
    """Stretches that go with the same counters and inputs put together."""
    parts: dict[object, list[Group]] = {}
    for one in found:
        chosen = sorted(one.chosen.items())
        counters = {v.name: _ranges(some) for v, some in chosen if v.kind is Kind.COUNTER}
        inputs = {v.name: some.shown() for v, some in chosen if v.kind is Kind.INPUT}
        key = (tuple(counters.items()), tuple(inputs.items()))
        if len(one.starts):
            parts.setdefault(key, []).append(Group(one.starts, one.ends, counters, inputs))
    return tuple(_united(groups) for groups in parts.values())


def _ranges(values: Chosen) -> CounterRanges:
    return CounterRanges(*joined_ranges(values.ranges()))


def _united(groups: Sequence[Group]) -> Group:
    starts = np.concatenate([group.starts for group in groups])
    ends = np.concatenate([group.ends for group in groups])
    order = np.argsort(starts, kind="stable")
    starts, ends = joined(starts[order], ends[order])
    return Group(starts, ends, groups[0].counters, groups[0].inputs)


def _explained(
    search: _Search, reads: Sequence[Template | None], texts: Sequence[str], plan: Plan
) -> Failure:
    """The first place with which nothing can print the lines."""
    for index, (term, read) in enumerate(zip(search.terms, reads, strict=True)):
        if read is not None and len(read) not in term.lengths:
            return Failure(_wrong_length(term, index, len(read)), index)
    sizes = [0 if read is None else len(read) for read in reads]
    try:
        if search.is_possible(reads):
            names = [f.name for f in plan.fields if isinstance(f.source, CheckText)]
            return Failure(f"the check characters do not agree: {', '.join(names)}")
        place = _first_failing(search, reads, sum(sizes))
    except InputError:  # too many ways: it cannot be told cheaply
        return Failure("nothing prints these lines")
    if place < 0:
        return Failure("no print has lines of these lengths")
    line = 0
    while place >= sizes[line]:
        place, line = place - sizes[line], line + 1
    before = f'after "{texts[line][:place]}"' if place else "at the start of the line"
    said = f'line {line + 1}: nothing prints "{texts[line][place]}" {before}'
    return Failure(said + (", with the lines above as they are" if line else ""), line, place)


def _wrong_length(term: Term, index: int, length: int) -> str:
    low, high = min(term.lengths, default=0), max(term.lengths, default=0)
    wanted = f"{low}" if low == high else f"{low} to {high}"
    return f"line {index + 1} has {length} characters, the message prints {wanted} there"


def _first_failing(search: _Search, reads: Sequence[Template | None], size: int) -> int:
    """The first character with which nothing prints the lines; -1 when all unread fails too."""
    if not search.is_possible(_upto(reads, 0)):
        return -1
    low, high = 0, size  # possible up to low, impossible up to high
    while high - low > 1:
        middle = (low + high) // 2
        if search.is_possible(_upto(reads, middle)):
            low = middle
        else:
            high = middle
    return low


def _upto(reads: Sequence[Template | None], count: int) -> list[Template | None]:
    """The same with everything after the first characters unread."""
    out: list[Template | None] = []
    for read in reads:
        if read is None:
            out.append(None)
            continue
        kept = min(count, len(read))
        out.append(read[:kept] + any_of(len(read) - kept))
        count -= kept
    return out
