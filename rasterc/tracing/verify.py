"""Working out check characters: which candidates have those that were read."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product
from math import prod
from typing import Any

import numpy as np

from rasterc.diagnostics import InputError
from rasterc.domain.atoms import Kind, Variable
from rasterc.domain.chosen import Chosen
from rasterc.domain.counterwords import CounterWords
from rasterc.domain.progress import Progress, counted
from rasterc.domain.templates import matcher
from rasterc.domain.timeline import Which
from rasterc.tracing.candidates import Candidates, minutes_of, runs, stretches_of
from rasterc.tracing.compound_terms import Changed, Joined
from rasterc.tracing.terms import ByCell, ByMinute, BySecond, Term
from rasterc.tracing.terms_of import TermMaker
from rasterc.values.dates.offsets import Minutes, moment_of
from rasterc.values.dates.shifts import MINUTES_PER_DAY
from rasterc.values.fields.kinds import (
    ClockTable,
    ClockText,
    CounterText,
    FieldPlan,
    InputText,
    ShiftText,
    fields_read,
)
from rasterc.values.model import Instant

MAX_COMBINATIONS = 50_000


@dataclass(frozen=True, slots=True)
class Found:
    """Stretches of minutes, and the counter values and inputs that each of them goes with.

    ``verified`` is False when there were too many combinations to work out the check characters.
    """

    starts: Minutes
    ends: Minutes
    chosen: Mapping[Variable, Chosen]
    verified: bool = True


def verified(candidates: Candidates, maker: TermMaker, progress: Progress) -> Iterator[Found]:
    """What is left of candidates when their check characters are worked out."""
    if not candidates.checks:
        yield _found(candidates, maker)
        return
    variables = _variables(candidates, maker)
    alike = _alike(candidates, maker, variables.terms) if variables else []
    if variables is None or len(alike) * variables.count > MAX_COMBINATIONS:
        yield replace(_found(candidates, maker), verified=False)
        return
    what = f"of {variables.count:,} values held against their check characters"
    for minutes in counted(alike, f"of {len(alike):,} times tried", progress):
        starts, ends = runs(minutes)
        values = counted(variables.combinations(), what, progress)
        good = [v for v in values if _fits(candidates, maker, starts[0], v)]
        yield from _grouped(starts, ends, good, candidates, maker)


def _found(candidates: Candidates, maker: TermMaker) -> Found:
    starts, ends = stretches_of(candidates, maker.line)
    return Found(starts, ends, candidates.chosen)


@dataclass(frozen=True, slots=True)
class _Values:
    """One value of everything that check characters are worked out from."""

    second: int
    texts: Mapping[Variable, str]

    def instant(self, minute: int, maker: TermMaker) -> Instant:
        """A minute with these values."""
        counters: dict[str, int] = {}
        for variable, text in self.texts.items():
            words = maker.words(variable)
            if isinstance(words, CounterWords):
                counters[variable.name] = words.value(text)
        inputs = {v.name: text for v, text in self.texts.items() if v.kind is Kind.INPUT}
        return Instant(moment_of(minute, self.second), counters, inputs)


@dataclass(frozen=True, slots=True)
class _Variables:
    """What check characters depend on: terms that go by the time, and lists of values."""

    terms: Sequence[Term]
    seconds: Sequence[int]
    texts: Mapping[Variable, Sequence[str]]

    @property
    def count(self) -> int:
        """How many combinations there are at each time."""
        return len(self.seconds) * prod(len(texts) for texts in self.texts.values())

    def combinations(self) -> Iterator[_Values]:
        """Every combination."""
        for texts in product(*self.texts.values()):
            for second in self.seconds:
                yield _Values(second, dict(zip(self.texts, texts, strict=True)))


def _variables(candidates: Candidates, maker: TermMaker) -> _Variables | None:
    """What the check fields depend on; None when it has too many values."""
    fields = list(fields_read(check for check, _ in candidates.checks))
    listed: dict[Variable, list[str]] = {}
    for variable in words_read(fields, maker):
        chosen = candidates.chosen.get(variable) or Chosen.whole(maker.words(variable))
        texts = chosen.texts(MAX_COMBINATIONS)
        if texts is None:
            return None
        listed[variable] = texts
    timed = [field for field in fields if _goes_by_time(field) and not maker.dates.read_by(field)]
    terms = list(_leaves(maker.joined(timed)))
    by_second = any(isinstance(term, BySecond) for term in terms)
    seconds = np.flatnonzero(candidates.seconds).tolist()
    return _Variables(terms, seconds if by_second else seconds[:1], listed)


def words_read(fields: Iterable[FieldPlan], maker: TermMaker) -> Iterator[Variable]:
    """The counters and inputs that fields, and the texts and checks in them, print."""
    for field in fields_read(fields):
        date = maker.dates.read_by(field)
        if date is not None:
            yield date
        match field.source:
            case CounterText(counter, _, _):
                yield Variable(Kind.COUNTER, counter.name)
            case InputText(rule):
                yield Variable(Kind.INPUT, rule.input.name)


def _goes_by_time(field: FieldPlan) -> bool:
    return isinstance(field.source, ClockText | ClockTable | ShiftText)


def _leaves(term: Term) -> Iterator[Term]:
    match term:
        case Joined(terms):
            for below in terms:
                yield from _leaves(below)
        case Changed(below, _):
            yield from _leaves(below)
        case _:
            yield term


def _alike(candidates: Candidates, maker: TermMaker, terms: Iterable[Term]) -> Sequence[Minutes]:
    """The candidates' minutes, in groups in which each of the terms prints one text."""
    line = maker.line
    minutes = np.concatenate([np.zeros(0, np.int64), *minutes_of(candidates, line)])
    cells = np.searchsorted(line.starts, minutes, "right") - 1
    columns = [np.zeros(len(minutes), np.intp)]
    for term in terms:
        match term:
            case ByCell(texts):
                columns.append(texts.which[cells])
            case ByMinute(texts, clock):
                wall = line.clocks[clock].wall[cells] + minutes - line.starts[cells]
                columns.append(texts.which[wall % MINUTES_PER_DAY])
    order = np.lexsort(columns)
    changes = np.zeros(len(order), np.bool_)
    for column in columns:
        changes[1:] |= np.diff(column[order]) != 0
    return _Groups(minutes, order, np.concatenate([[0], np.flatnonzero(changes), [len(order)]]))


@dataclass(frozen=True, slots=True, eq=False)
class _Groups(Sequence[Minutes]):
    """Groups of minutes, each sorted; made one by one, as there may be millions."""

    minutes: Minutes
    order: Which
    bounds: Which

    def __len__(self) -> int:
        return len(self.bounds) - 1

    def __getitem__(self, index: Any) -> Any:
        part = self.order[self.bounds[index] : self.bounds[index + 1]]
        if not len(part):
            raise IndexError(index)
        return np.sort(self.minutes[part])


def _fits(candidates: Candidates, maker: TermMaker, minute: int, values: _Values) -> bool:
    """Whether all check fields print what was read of them."""
    moment = maker.plan.at(values.instant(minute, maker))
    try:
        return all(
            read is None or bool(matcher(read)(text))
            for text, read in [(check.text(moment), read) for check, read in candidates.checks]
        )
    except InputError:  # a foreign character, a table without the key
        return False


def _grouped(
    starts: Minutes,
    ends: Minutes,
    good: Sequence[_Values],
    candidates: Candidates,
    maker: TermMaker,
) -> Iterator[Found]:
    """The good values, as few sets that can be combined freely as is simple: by the first
    counter, when there is one."""
    rest: dict[tuple[tuple[Variable, str], ...], list[_Values]] = {}
    for values in good:
        first = next((v for v in values.texts if v.kind is Kind.COUNTER), None)
        others = (pair for pair in values.texts.items() if pair[0] != first)
        rest.setdefault(tuple(others), []).append(values)
    for same in rest.values():
        chosen = dict(candidates.chosen)
        for variable in same[0].texts:
            texts = frozenset(values.texts[variable] for values in same)
            chosen[variable] = Chosen(maker.words(variable), (), texts)
        yield Found(starts, ends, chosen)
