"""Dates that are typed among what was read: the days that print it, within their limits."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from rasterc.domain.atoms import Kind, Variable, Whole
from rasterc.domain.chosen import Chosen
from rasterc.domain.codes import rows_of
from rasterc.domain.inputwords import ListedWords
from rasterc.domain.templates import Lengths, Template
from rasterc.domain.timeline import Timeline
from rasterc.domain.typed import allowed, day_of, texts_by_day, words_of
from rasterc.tracing.candidates import Candidates
from rasterc.tracing.terms import Texts
from rasterc.values.fields.kinds import ClockText, FieldPlan
from rasterc.values.plan import Plan


@dataclass(frozen=True, eq=False)
class DateTerm:
    """A typed date, or what is counted from one: what is printed of each day it may be.

    ``texts`` are by the days in ``words``.
    """

    variable: Variable
    words: ListedWords
    texts: Texts

    @property
    def lengths(self) -> Lengths:
        """Lengths of the texts."""
        return self.texts.lengths

    @cached_property
    def printed(self) -> dict[str, str | None]:
        """What is printed of each day, by the text that is typed; None where there is no print."""
        shown = (*self.texts.texts, None)  # -1 stands for none
        return {t: shown[at] for t, at in zip(self.words.listed, self.texts.which, strict=True)}

    def narrow(self, read: Template | None, among: Candidates) -> Iterator[Candidates]:
        """The candidates with a day whose text fits."""
        fitting = np.flatnonzero(self.texts.fitting(read)).tolist()
        texts = frozenset(self.words.listed[at] for at in fitting)
        return among.with_words(self.variable, Chosen(self.words, (), texts))


def read_by(plan: Plan, field: FieldPlan) -> Variable | None:
    """The date that a field prints, or something counted from it; None for another field."""
    if not isinstance(field.source, ClockText):
        return None
    root = plan.clocks[field.source.clock].root
    return Variable(Kind.INPUT, root.name) if root.typed else None


class Dates:
    """The typed dates of a plan over a timeline that has their limits."""

    def __init__(self, plan: Plan, line: Timeline) -> None:
        self.plan, self.line = plan, line
        self._days = {n: allowed(date, line).ends() for n, date in plan.dates.items()}
        self._words: dict[str, ListedWords] = {}

    def read_by(self, field: FieldPlan) -> Variable | None:
        """See `read_by`."""
        return read_by(self.plan, field)

    def words(self, name: str) -> ListedWords:
        """The texts of a date, in order of time."""
        if name not in self._words:
            self._words[name] = words_of(self.plan.dates[name], self._days[name])
        return self._words[name]

    def term(self, atom: Whole, variable: Variable) -> DateTerm:
        """The term of a field that prints a date."""
        days = self._days[variable.name]
        if days is None:
            return DateTerm(variable, self.words(variable.name), Texts((), np.zeros(0, np.intp)))
        printed = texts_by_day(self.plan, atom, variable.name, days)
        return DateTerm(variable, self.words(variable.name), Texts(printed.texts, printed.ids))

    def holds(self, name: str, text: str) -> np.ndarray:
        """The cells in which a date may be the day of a text."""
        window, day = allowed(self.plan.dates[name], self.line), day_of(self.plan.dates[name], text)
        return (window.first <= day) & (day <= window.last)

    def within_limits(self, candidates: Candidates, names: list[str]) -> Iterator[Candidates]:
        """The candidates in sets in which dates of these names may be any of the days chosen."""
        if not names:
            yield candidates
            return
        name, *others = names
        for part in self._within(candidates, name):
            yield from self.within_limits(part, others)

    def _within(self, candidates: Candidates, name: str) -> Iterator[Candidates]:
        date, variable = self.plan.dates[name], Variable(Kind.INPUT, name)
        words = self.words(name)
        known = candidates.chosen.get(variable)
        texts = [t for t in words.listed if known is None or known.holds(t)]
        days = np.array([day_of(date, text) for text in texts], np.int64)
        window = allowed(date, self.line)
        low = np.searchsorted(days, window.first)
        high = np.maximum(low, np.searchsorted(days, window.last, "right"))
        low, high = (np.where(candidates.cells, ends, 0) for ends in (low, high))
        first, which = rows_of((low, high), len(low))
        for number, cell in enumerate(first.tolist()):
            chosen = frozenset(texts[low[cell] : high[cell]])
            if chosen:
                yield replace(
                    candidates,
                    cells=candidates.cells & (which == number),
                    chosen={**candidates.chosen, variable: Chosen(words, (), chosen)},
                )
