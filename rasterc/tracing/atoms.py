"""Lines with counters and inputs fixed: what still goes by the time, atom by atom.

With every counter and input given, a line is a row of atoms: text that stays, text that goes by
the cell of a timeline, text that goes by the minute of the day, or text that goes by both (check
characters over a date and a time, say). Moments are looked at in their first second.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial

import numpy as np
from numpy.typing import NDArray

from rasterc.diagnostics import InputError
from rasterc.source.message import Picture
from rasterc.tracing.offsets import MINUTES_PER_DAY, Minutes
from rasterc.tracing.templates import applied
from rasterc.tracing.terms import (
    ByCell,
    ByMinute,
    BySecond,
    Changed,
    CheckTerm,
    CounterTerm,
    Fixed,
    InputTerm,
    Joined,
    Term,
    Texts,
)
from rasterc.tracing.terms_of import TermMaker
from rasterc.tracing.timeline import Which
from rasterc.values.check_characters import check_characters
from rasterc.values.counters import text_of
from rasterc.values.fields import CheckText, CounterText, InputText
from rasterc.values.model import Instant
from rasterc.values.options import Option
from rasterc.values.plan import Plan

Leaf = ByCell | ByMinute
Compute = Callable[[Mapping[Leaf, str]], str | None]


@dataclass(frozen=True, eq=False)
class ByBoth:
    """Text worked out from leaves that go by the cell and leaves that go by the minute.

    Attributes:
        key: equal for atoms that work out the same from leaves in the same order.
        leaves: what it is worked out from, in order.
        compute: the text, from those of the leaves.
    """

    key: object
    leaves: tuple[Leaf, ...]
    compute: Compute


Atom = Fixed | ByCell | ByMinute | ByBoth


@dataclass(frozen=True, slots=True)
class Given:
    """The values of all counters and inputs."""

    counters: Mapping[str, int] = field(default_factory=dict)
    inputs: Mapping[str, str] = field(default_factory=dict)


def lines_of(maker: TermMaker, given: Given) -> list[list[Atom]]:
    """The atoms of every line of a plan, block by block, top to bottom.

    Raises:
        InputError: a printed input has no text, or a value given is not one of the message.
    """
    _check_given(maker.plan, given)
    flattener = _Flattener(maker, given)
    blocks = [b.content for b in maker.plan.blocks if not isinstance(b.content, Picture)]
    return [flattener.atoms(maker.joined(line.pieces)) for lines in blocks for line in lines]


def _check_given(plan: Plan, given: Given) -> None:
    moment = plan.at(Instant(None, given.counters, given.inputs))
    faults = moment.faults_of_given()
    for one in plan.fields:
        if isinstance(one.source, InputText):
            try:
                moment.input(one.source.rule.input.name)
            except InputError as error:
                faults += error.diagnostics
    if faults:
        raise InputError(dict.fromkeys(faults))


class _Flattener:
    """Makes atoms of terms."""

    def __init__(self, maker: TermMaker, given: Given) -> None:
        self.maker = maker
        self.moment = maker.plan.at(Instant(None, given.counters, given.inputs))

    def atoms(self, term: Term) -> list[Atom]:
        """The atoms of a term; neighbours that stay the same made one."""
        if isinstance(term, Joined):
            return [atom for below in term.terms for atom in self.atoms(below)]
        if isinstance(term, ByCell | ByMinute):
            return [term]
        return [self._simplest(*self._worked_out(term))]

    def _simplest(self, key: object, leaves: tuple[Leaf, ...], compute: Compute) -> Atom:
        cells = [leaf for leaf in leaves if isinstance(leaf, ByCell)]
        minutes = [leaf for leaf in leaves if isinstance(leaf, ByMinute)]
        if not leaves:
            text = compute({})
            nowhere = np.full(len(self.maker.line.starts), -1)
            return ByCell(Texts((), nowhere)) if text is None else Fixed(text)
        if not minutes:
            return ByCell(tabulated(cells, compute))
        if not cells and len({leaf.clock for leaf in minutes}) == 1:
            return ByMinute(minutes[0].clock, tabulated(minutes, compute))
        return ByBoth(key, leaves, compute)

    def _worked_out(self, term: Term) -> tuple[object, tuple[Leaf, ...], Compute]:
        """What a term is worked out from, and how."""
        match term:
            case Fixed(text):
                return text, (), lambda _: text
            case ByCell() | ByMinute():
                return "leaf", (term,), lambda texts: texts[term]
            case BySecond(texts):
                first = texts.texts[texts.which[0]] if texts.which[0] >= 0 else None
                return first, (), lambda _: first
            case CounterTerm(counter, width, fill, options):
                value = text_of(counter, self.moment.counter(counter.name))
                shown = applied(options, value.rjust(width, fill))
                return shown, (), lambda _: shown
            case InputTerm(rule, options):
                shown = applied(options, self.moment.input(rule.input.name))
                return shown, (), lambda _: shown
            case CheckTerm():
                return self._check(term)
            case Changed(below, options):
                return self._changed(*self._worked_out(below), options)
            case Joined(terms):
                return self._joined([self._worked_out(below) for below in terms])
        raise AssertionError(f"no atom for {term}")

    def _check(self, term: CheckTerm) -> tuple[object, tuple[Leaf, ...], Compute]:
        assert isinstance(term.plan.source, CheckText)
        pieces = self._worked_out(self.maker.joined(term.plan.source.pieces))
        key, leaves, joined = pieces
        algorithm = term.algorithm

        def compute(texts: Mapping[Leaf, str]) -> str | None:
            text = joined(texts)
            if not text or any(char not in algorithm.alphabet for char in text):
                return None
            return check_characters(algorithm, text)

        return self._changed((algorithm.name, key), leaves, compute, term.plan.options)

    @staticmethod
    def _changed(
        key: object, leaves: tuple[Leaf, ...], compute: Compute, options: tuple[Option, ...]
    ) -> tuple[object, tuple[Leaf, ...], Compute]:
        if not options:
            return key, leaves, compute

        def change(texts: Mapping[Leaf, str]) -> str | None:
            text = compute(texts)
            return None if text is None else applied(options, text)

        return (key, tuple(map(_plain, options))), leaves, change

    @staticmethod
    def _joined(
        parts: Sequence[tuple[object, tuple[Leaf, ...], Compute]],
    ) -> tuple[object, tuple[Leaf, ...], Compute]:
        def join(texts: Mapping[Leaf, str]) -> str | None:
            found = [compute(texts) for _, _, compute in parts]
            shown = [text for text in found if text is not None]
            return "".join(shown) if len(shown) == len(found) else None

        leaves = tuple(leaf for _, below, _ in parts for leaf in below)
        return tuple(key for key, _, _ in parts), leaves, join


def _plain(option: Option) -> object:
    """An option without its place in the source: equal for two versions of a message."""
    names = getattr(option, "__slots__", ())
    return type(option).__name__, tuple(
        repr(without_spans(getattr(option, name))) for name in names if name != "span"
    )


def tabulated(leaves: Sequence[Leaf], compute: Compute) -> Texts:
    """The texts worked out from leaves that all go by the same, for every place."""
    codes, which = np.unique(
        np.stack([leaf.texts.which for leaf in leaves], axis=1), axis=0, return_inverse=True
    )
    texts = [worked_out(leaves, row, compute) for row in codes]
    distinct = {t: i for i, t in enumerate(dict.fromkeys(t for t in texts if t is not None))}
    index = np.array([-1 if text is None else distinct[text] for text in texts], np.intp)
    return Texts(tuple(distinct), index[which.reshape(-1)])


def worked_out(leaves: Sequence[Leaf], codes: Sequence[int], compute: Compute) -> str | None:
    """The text for these codes of the leaves; None when one of them has none."""
    if any(code < 0 for code in codes):
        return None
    return compute({leaf: leaf.texts.texts[c] for leaf, c in zip(leaves, codes, strict=True)})
