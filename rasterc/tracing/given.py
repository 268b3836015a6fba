"""Lines with counters and inputs fixed: what still goes by the time, atom by atom.

With every counter and input given, a line is a row of pieces: text that stays, text that goes by
the cell of a timeline, text that goes by the minute of the day, or text that goes by both (check
characters over a date and a time, say). Moments are looked at in their first second.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from rasterc.diagnostics import InputError
from rasterc.domain.atoms import Kind, Variable, lines_of
from rasterc.tracing.compound_terms import Changed, CheckTerm, Joined, WordsTerm
from rasterc.tracing.dated import DateTerm, read_by
from rasterc.tracing.declared import plain
from rasterc.tracing.templates import applied
from rasterc.tracing.terms import (
    ByCell,
    ByMinute,
    BySecond,
    Compute,
    Fixed,
    Leaf,
    Term,
    Texts,
    Timed,
    tabulated,
)
from rasterc.tracing.terms_of import TermMaker
from rasterc.values.fields.kinds import CheckText, FieldPlan, InputText
from rasterc.values.fields.options import Option
from rasterc.values.given.check_characters import check_characters
from rasterc.values.given.counters import text_of
from rasterc.values.model import Instant
from rasterc.values.moment import Moment, Places
from rasterc.values.plan import Plan

Key = tuple[Any, ...]


@dataclass(frozen=True, eq=False)
class ByBoth:
    """Text worked out from leaves that go by the cell and leaves that go by the minute.

    Attributes:
        key: equal for atoms that work out the same from leaves in the same order.
        leaves: what it is worked out from, in order.
        compute: the text, from those of the leaves.
        size: the length of all its texts, if it always has one.
    """

    key: Key
    leaves: tuple[Timed, ...]
    compute: Compute
    size: int | None


Atom = Fixed | ByCell | ByMinute | ByBoth


@dataclass(frozen=True, slots=True)
class Given:
    """The values of all counters and inputs."""

    counters: Mapping[str, int] = field(default_factory=dict)
    inputs: Mapping[str, str] = field(default_factory=dict)


def lines_given(maker: TermMaker, given: Given) -> list[list[Atom]]:
    """The atoms of every line of a plan, block by block, top to bottom.

    Raises:
        InputError: a printed input has no text, or a value given is not one of the message.
    """
    _check_given(maker.plan, given)
    flattener = _Flattener(maker, given)
    return [flattener.atoms(maker.joined(line.pieces)) for line in lines_of(maker.plan)]


def _instant(given: Given) -> Instant:
    return Instant(None, given.counters, given.inputs)


def _check_given(plan: Plan, given: Given) -> None:
    moment = Moment(plan, _instant(given), Places(), limited=False)
    faults = moment.faults_of_given()
    for one in plan.fields:
        date = read_by(plan, one)
        if isinstance(one.source, InputText) or date is not None:
            try:
                moment.input(date.name if date is not None else _input(one))
            except InputError as error:
                faults += error.diagnostics
    if faults:
        raise InputError(dict.fromkeys(faults))


def _input(one: FieldPlan) -> str:
    """The input that a field prints, or looks up in a table."""
    assert isinstance(one.source, InputText)
    return one.source.rule.input.name


class _Flattener:
    """Makes atoms of terms."""

    def __init__(self, maker: TermMaker, given: Given) -> None:
        self.maker = maker
        self.moment = Moment(maker.plan, _instant(given), Places(), limited=False)

    def atoms(self, term: Term) -> list[Atom]:
        """The atoms of a term; neighbours that stay the same made one."""
        if isinstance(term, Joined):
            return [atom for below in term.terms for atom in self.atoms(below)]
        if isinstance(term, ByCell | ByMinute):
            return [term]
        if isinstance(term, DateTerm):
            return [self._dated(term)]
        return [self._simplest(self._worked_out(term))]

    def _simplest(self, work: ByBoth) -> Atom:
        leaves, compute = work.leaves, work.compute
        cells = [leaf for leaf in leaves if isinstance(leaf, ByCell)]
        minutes = [leaf for leaf in leaves if isinstance(leaf, ByMinute)]
        if not leaves:
            text = compute({})
            nowhere = np.full(len(self.maker.line.starts), -1)
            return Fixed(text) if text is not None else ByCell(Texts((), nowhere))
        if not minutes:
            return ByCell(tabulated(cells, compute))
        if not cells and len({leaf.clock for leaf in minutes}) == 1:
            return ByMinute(tabulated(minutes, compute), minutes[0].clock)
        return work

    def _worked_out(self, term: Term) -> ByBoth:
        """What a term is worked out from, and how."""
        match term:
            case Fixed(text):
                return _constant(text)
            case ByCell() | ByMinute():
                return ByBoth(("leaf",), (term,), lambda texts: texts[term], None)
            case BySecond(texts):
                return _constant(texts.texts[texts.which[0]] if texts.which[0] >= 0 else None)
            case DateTerm():
                leaf = self._dated(term)
                return ByBoth(("leaf",), (leaf,), lambda texts: texts[leaf], None)
            case WordsTerm(variable, _, options):
                return _constant(applied(options, self._given(variable)))
            case CheckTerm():
                return self._check(term)
            case Changed(below, options):
                return _changed(self._worked_out(below), options)
            case Joined(terms):
                return _joined([self._worked_out(below) for below in terms])
        raise AssertionError(f"no atom for {term}")

    def _dated(self, term: DateTerm) -> ByCell:
        """What is printed of the date given; nothing where that is not within its limits."""
        name = term.variable.name
        typed = self.moment.input(name)
        text = term.printed.get(typed)
        if text is None:
            return ByCell(Texts((), np.full(len(self.maker.line), -1)))
        return ByCell(Texts((text,), np.where(self.maker.dates.holds(name, typed), 0, -1)))

    def _given(self, variable: Variable) -> str:
        if variable.kind is Kind.INPUT:
            return self.moment.input(variable.name)
        value = self.moment.counter(variable.name)
        return text_of(self.maker.plan.message.counters[variable.name], value)

    def _check(self, term: CheckTerm) -> ByBoth:
        assert isinstance(term.plan.source, CheckText)
        checked = self._worked_out(self.maker.joined(term.plan.source.pieces))
        algorithm = term.algorithm

        def compute(texts: Mapping[Leaf, str]) -> str | None:
            text = checked.compute(texts)
            if not text or any(char not in algorithm.alphabet for char in text):
                return None
            return check_characters(algorithm, text)

        size = algorithm.length if _is_over(algorithm.alphabet, checked) else None
        return _changed(
            ByBoth(("check", algorithm.name, checked.key), checked.leaves, compute, size),
            term.plan.options,
        )


def _constant(text: str | None) -> ByBoth:
    return ByBoth(("text", text), (), lambda _: text, None)


def _changed(work: ByBoth, options: tuple[Option, ...]) -> ByBoth:
    if not options:
        return work

    def change(texts: Mapping[Leaf, str]) -> str | None:
        text = work.compute(texts)
        return None if text is None else applied(options, text)

    return ByBoth(("changed", work.key, plain(options)), work.leaves, change, None)


def _joined(parts: Sequence[ByBoth]) -> ByBoth:
    def join(texts: Mapping[Leaf, str]) -> str | None:
        found = [part.compute(texts) for part in parts]
        shown = [text for text in found if text is not None]
        return "".join(shown) if len(shown) == len(found) else None

    leaves = tuple(leaf for part in parts for leaf in part.leaves)
    return ByBoth(("joined", *(part.key for part in parts)), leaves, join, None)


def _is_over(alphabet: str, work: ByBoth) -> bool:
    """Whether there always is a text, not empty and of this alphabet, as far as is easily told."""
    texts = [text for leaf in work.leaves for text in leaf.texts.texts]
    constants = list(_constants(work.key))
    return (
        None not in constants
        and all((leaf.texts.which >= 0).all() for leaf in work.leaves)
        and all(set(text or "") <= set(alphabet) for text in (*texts, *constants))
        and (any(constants) or any(all(leaf.texts.texts) for leaf in work.leaves))
    )


def _constants(key: Key) -> Iterator[str | None]:
    """The constant texts among joined ones; None for what is neither a constant nor a leaf."""
    match key:
        case ("joined", *parts):
            for part in parts:
                yield from _constants(part)
        case ("text", str(text)):
            yield text
        case ("leaf",):
            return
        case _:
            yield None
