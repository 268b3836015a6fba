"""From printed lines back to every instant, counter value and input that could have printed them.

The clocks of a plan are laid out over the whole horizon at once (`timeline`); the text of every
field is known as a function of the day, of the minute of the day, or of the digits of a counter.
Each way to split a line between its fields then gives one set of candidates, narrowed field by
field. The result is exact: every minute that can print the lines, and no other.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from rasterc.diagnostics import InputError
from rasterc.domain.atoms import Atom, Kind, lines_of
from rasterc.domain.chosen import Chosen
from rasterc.domain.chosen import joined as joined_ranges
from rasterc.domain.horizon import home_zone, stretch
from rasterc.domain.progress import Progress, counted, quiet
from rasterc.domain.templates import Template, any_of, template_of
from rasterc.domain.timeline import timeline
from rasterc.tracing.candidates import Candidates, is_possible, joined
from rasterc.tracing.checked import always_printed
from rasterc.tracing.matches import CounterRanges, Failure, Group, TraceResult
from rasterc.tracing.rows import union_of, with_rows
from rasterc.tracing.terms import Term
from rasterc.tracing.terms_of import TermMaker
from rasterc.tracing.verify import Found, verified, words_read
from rasterc.tracing.within import Within
from rasterc.values.dates.offsets import FIRST_YEAR, Minutes, moment_of
from rasterc.values.fields.kinds import CheckText
from rasterc.values.plan import Plan

DEFAULT_YEARS, MAX_YEARS = 10, 100
UNREAD_LINE = "*"
"""Given for a line of which nothing could be read."""

_MAX_WAYS = 20_000


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
    plan: Plan,
    lines: Sequence[str],
    first: int,
    end: int,
    progress: Progress = quiet,
    *,
    parts: bool = False,
    explain: bool = True,
) -> TraceResult:
    """The same as `trace`, from minute ``first`` of UTC since 1970 to minute ``end``.

    With ``parts`` each text is a part of its line: anything may stand before it and after it. Why
    there is no match is looked for only to ``explain`` it, and for whole lines.
    """
    found = [_of_plain(case, lines, first, end, progress, parts, explain) for case in plan.plain()]
    return found[0] if plan.cases is None else union_of(found)


def _of_plain(
    plan: Plan,
    lines: Sequence[str],
    first: int,
    end: int,
    progress: Progress,
    parts: bool,
    explain: bool,
) -> TraceResult:
    """The matches of a message whose dates depend on no row of a table."""
    maker = TermMaker(plan, timeline(plan, first, end))
    texts = tuple(text.rstrip("\r") for line in lines for text in line.split("\n"))
    reads = _reads(texts, len(lines_of(plan)))
    terms = _line_terms(plan, maker, reads)
    if parts:
        terms = [Within.of(term) for term in terms]
    search = _Search(terms, maker)
    ways = counted(search.candidates(reads), "ways to split what was read", progress)
    found = [part for among in ways for part in verified(among, maker, progress)]
    groups = tuple(with_rows(group, plan) for group in _grouped(found))
    reads_clock = bool(plan.clocks_read())
    zone = home_zone(plan) if reads_clock else None
    return TraceResult(
        texts,
        groups,
        zone,
        moment_of(first).astimezone(zone) if zone else None,
        moment_of(end).astimezone(zone) if zone else None,
        all(part.verified for part in found),
        _explained(search, reads, texts, plan) if explain and not (groups or parts) else None,
    )


def printing_times(
    plan: Plan, texts: Sequence[Sequence[Atom]], printed: Sequence[str], first: int, end: int
) -> tuple[Minutes, Minutes]:
    """When texts of some atoms can print just this, all at once, from minute ``first`` of UTC to
    ``end``: where stretches of minutes begin and end, sorted, apart.

    Raises:
        InputError: that cannot be told.
    """
    maker = TermMaker(plan, timeline(plan, first, end))
    search = _Search([maker.of_atoms(text) for text in texts], maker)
    reads = [tuple(map(frozenset, text)) for text in printed]
    found = [
        Group(part.starts, part.ends, {}, {})
        for among in search.candidates(reads)
        for part in verified(among, maker, quiet)
    ]
    whole = _united([Group(np.zeros(0, np.int64), np.zeros(0, np.int64), {}, {}), *found])
    return whole.starts, whole.ends


def _line_terms(plan: Plan, maker: TermMaker, reads: Sequence[Template | None]) -> list[Term]:
    """The terms of the lines; of those that were not read and print at all times, nothing."""
    return [
        maker.joined(
            () if read is None and always_printed(line.pieces, maker.line) else line.pieces
        )
        for line, read in zip(lines_of(plan), reads, strict=True)
    ]


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
            for part in self.maker.dates.within_limits(among, self._limited(among)):
                if is_possible(part, self.maker.line):
                    yield part
            if ways == _MAX_WAYS:
                raise InputError.one(
                    "too-much-unread",
                    f"what was read can be split between the fields in over {_MAX_WAYS:,} ways",
                    help='give more characters, or "*" for a line of which little was read',
                )

    def _limited(self, among: Candidates) -> list[str]:
        """The dates that candidates depend on and whose limits go by the time."""
        checked = words_read((check for check, _ in among.checks), self.maker)
        names = {variable.name for variable in (*among.chosen, *checked)}
        return [
            name for name, date in self.maker.plan.dates.items() if date.by_time and name in names
        ]

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
