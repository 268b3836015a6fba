"""How many prints it takes until a counter prints the same again, whatever the time."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass

from rasterc.diagnostics import InputError
from rasterc.domain.atoms import Kind, Variable, Varying, Whole
from rasterc.domain.words import Words
from rasterc.extremes.tape import NotPlacedError, Placed, Tape
from rasterc.extremes.variables import shows_whole
from rasterc.source.declarations import AtEnd, Counter
from rasterc.values import Instant, Plan
from rasterc.values.given.counters import prints

MAX_LISTED = 20_000  # values of a counter that are looked at one by one


@dataclass(frozen=True, slots=True)
class Round:
    """A counter that prints the same again after so many prints, at the least, and why."""

    counter: str
    prints: int
    why: str

    def as_dict(self) -> dict[str, object]:
        """The round as plain JSON values."""
        return {"counter": self.counter, "prints": self.prints, "why": self.why}


WRAPS = "wraps"
SHOWN_IN_PART = "is not shown whole"


def round_of(plan: Plan, counter: Counter, atoms: Sequence[Varying], words: Words) -> Round | None:
    """When a counter that some of the atoms print comes round; None when it never does.

    ``words`` are its texts.
    """
    mine = [atom for atom in atoms if isinstance(atom, Whole) and _reads(atom, counter)]
    if not mine:
        return None
    whole = any(shows_whole(counter, atom.field) for atom in mine)
    alone = [atom for atom in mine if len(atom.reads) == 1]
    lag = None if whole or _show_every_place(alone, words) else _lag(plan, counter, alone)
    if lag is not None:
        return Round(counter.name, lag * counter.repeat, SHOWN_IN_PART)
    if counter.at_end is AtEnd.WRAP:
        return Round(counter.name, prints(counter), WRAPS)
    return None


def _reads(atom: Whole, counter: Counter) -> bool:
    return Variable(Kind.COUNTER, counter.name) in atom.reads


def _show_every_place(atoms: Sequence[Whole], words: Words) -> bool:
    """Whether the atoms together show all digits of numbers of one length."""
    lengths = list(words.lengths())
    shown: set[int] = set()
    for atom in atoms:
        with suppress(InputError, NotPlacedError):
            elements = Tape(lengths[0], frozenset(words.alphabet)).elements(atom)
            shown |= {e.place for e in elements if isinstance(e, Placed) and not e.options}
    return len(lengths) == 1 and len(shown) == lengths[0]


def _lag(plan: Plan, counter: Counter, atoms: Sequence[Whole]) -> int | None:
    """The least number of steps between two values that the atoms print alike; None when all
    print differently. Of a long counter only the first values are looked at, and it is at least
    so many when these differ."""
    last: dict[tuple[str, ...], int] = {}
    least: int | None = None
    for index, texts in enumerate(_texts(plan, counter, atoms)):
        before = last.get(texts)
        if before is not None:
            least = min(least or index, index - before)
        if least == 1:
            break
        last[texts] = index
    if least is None and len(counter.values) > MAX_LISTED:
        return MAX_LISTED
    return least


def _texts(plan: Plan, counter: Counter, atoms: Sequence[Whole]) -> Iterator[tuple[str, ...]]:
    for value in counter.values[:MAX_LISTED]:
        moment = plan.at(Instant(None, {counter.name: value}))
        try:
            yield tuple(atom.field.text(moment) for atom in atoms)
        except InputError:  # this value has no print
            yield (str(value), "")
