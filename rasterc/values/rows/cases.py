"""The plain messages that a message over product tables is the union of."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import product
from math import prod
from typing import TYPE_CHECKING, Any

from rasterc.diagnostics import InputError
from rasterc.source.declarations import Input
from rasterc.source.message import Message
from rasterc.values.rows.kinds import Kind, key_of, message_of

if TYPE_CHECKING:
    from rasterc.values.moment import Moment
    from rasterc.values.plan import Plan

MAX_CASES = 2_000
"""Cases that are looked at one by one; a print asks for its own alone."""

Numbers = tuple[int, ...]
"""Which kind of row, of each input or counter that picks some."""


class Cases:
    """The cases of a message, each made ready when it is first asked for.

    Args:
        message: as declared.
        kinds: for each input or counter that picks rows, the kinds of them.
        make: makes the message of a case ready.
    """

    def __init__(
        self,
        message: Message,
        kinds: Sequence[Sequence[Kind]],
        make: Callable[[Message], Plan],
    ) -> None:
        self.message = message
        self.kinds = kinds
        self.kept: dict[object, Any] = {}
        """What was worked out of all cases together, by what it is."""
        self._make = make
        self._plans: dict[Numbers, Plan] = {}
        self._numbers: list[Mapping[str, int]] = []

    def __repr__(self) -> str:
        """How many there are."""
        return f"<Cases of {self.message.name}: {len(self)}>"

    def __len__(self) -> int:
        return prod(map(len, self.kinds))

    @property
    def names(self) -> tuple[str, ...]:
        """The inputs and counters that pick rows dates depend on."""
        return tuple(some[0].name for some in self.kinds)

    def plans(self) -> Iterator[Plan]:
        """The plan of every case.

        Raises:
            InputError: there are more than `MAX_CASES`.
        """
        if len(self) > MAX_CASES:
            said = f"{len(self):,} kinds of rows differ in what dates depend on"
            help = f"at most {MAX_CASES:,} are looked at; give one with --set"
            raise InputError.one("too-many-kinds", said, self.message.span.part(0, 7), help)
        return map(self._plan, product(*(range(len(some)) for some in self.kinds)))

    def at(self, moment: Moment) -> Plan:
        """The plan of the case that a moment of the whole message belongs to.

        Raises:
            InputError: an input or a counter that picks rows has no value, or none that it can be.
        """
        return self._plan(tuple(self._number(i, moment) for i in range(len(self.kinds))))

    def _number(self, index: int, moment: Moment) -> int:
        name = self.kinds[index][0].name
        if isinstance(self.kinds[index][0].taken, Input):
            return self._known(index)[moment.input(name)]
        counter = self.message.counters[name]
        return self._known(index)[key_of(counter, moment.counter(name))]

    def _known(self, index: int) -> Mapping[str, int]:
        """Which kind each key is of."""
        if not self._numbers:
            self._numbers += (
                {key: number for number, kind in enumerate(some) for key in _keys(kind)}
                for some in self.kinds
            )
        return self._numbers[index]

    def _plan(self, numbers: Numbers) -> Plan:
        if numbers not in self._plans:
            pairs = zip(self.kinds, numbers, strict=True)
            kinds = [some[number] for some, number in pairs]
            self._plans[numbers] = self._make(message_of(self.message, kinds))
        return self._plans[numbers]


def _keys(kind: Kind) -> Sequence[str]:
    if isinstance(kind.taken, Input):
        return kind.taken.choices
    counter = kind.taken
    return [key_of(counter, value) for value in counter.values]
