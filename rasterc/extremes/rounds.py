"""How many prints it takes until a counter prints the same again, whatever the time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rasterc.diagnostics import InputError
from rasterc.domain.atoms import Kind, Variable, Varying, Whole
from rasterc.domain.counterwords import CounterWords
from rasterc.domain.words import Words
from rasterc.extremes.lags import MAX_STEP, Lag, Lags, least_listed
from rasterc.extremes.tape import NotPlacedError, Printed, Tapes
from rasterc.extremes.variables import shows_whole
from rasterc.source.declarations import AtEnd, Counter
from rasterc.values import Instant, Plan
from rasterc.values.given.counters import prints

MAX_LISTED = 20_000  # values of a counter that are looked at one by one, if nothing else is left


@dataclass(frozen=True, slots=True)
class Round:
    """A counter that prints the same again after so many prints, at the least, and why.

    Without ``exact`` it is only known that it does not so sooner.
    """

    counter: str
    prints: int
    why: str
    exact: bool = True

    def as_dict(self) -> dict[str, object]:
        """The round as plain JSON values."""
        return {
            "counter": self.counter,
            "prints": self.prints,
            "why": self.why,
            "exact": self.exact,
        }


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
    lag = None if whole else _lag(plan, counter, alone, words)
    if lag is not None:
        return Round(counter.name, lag.steps * counter.repeat, SHOWN_IN_PART, lag.exact)
    if counter.at_end is AtEnd.WRAP:
        return Round(counter.name, prints(counter), WRAPS)
    return None


def _reads(atom: Whole, counter: Counter) -> bool:
    return Variable(Kind.COUNTER, counter.name) in atom.reads


def _lag(plan: Plan, counter: Counter, atoms: Sequence[Whole], words: Words) -> Lag | None:
    """The least number of steps between two values that the atoms print alike; None when all
    print differently."""
    printed = _printed(atoms, words)
    if printed is not None and isinstance(words, CounterWords) and counter.step <= MAX_STEP:
        return Lags(words, printed).least()
    values = counter.values[:MAX_LISTED]
    wraps = counter.at_end is AtEnd.WRAP and len(values) == len(counter.values)
    least = least_listed([_texts(plan, counter, atoms, value) for value in values], wraps)
    if len(values) == len(counter.values):
        return None if least is None else Lag(least)
    return Lag(1, exact=least == 1)  # what is beyond may come round sooner


def _printed(atoms: Sequence[Whole], words: Words) -> Printed | None:
    """What the atoms print of the numbers, if these have one length and go place by place."""
    lengths = words.lengths()
    if len(lengths) != 1:
        return None
    try:
        return Tapes(atoms, frozenset(words.alphabet)).printed(lengths[0])
    except NotPlacedError:
        return None


def _texts(
    plan: Plan, counter: Counter, atoms: Sequence[Whole], value: int
) -> tuple[str, ...] | int:
    """What the atoms print of a value; the value itself when it has no print."""
    moment = plan.at(Instant(None, {counter.name: value}))
    try:
        return tuple(atom.field.text(moment) for atom in atoms)
    except InputError:
        return value
