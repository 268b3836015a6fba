"""Check algorithms as small machines: one step a character, on all rows at once.

Each algorithm of `rasterc.values.given.check_characters` that is taken to pieces here has as many
states as its sums can have values. The tests hold every machine against its algorithm.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from rasterc.batch.columns import Column, Table, by_row, merged
from rasterc.domain.codes import Index
from rasterc.values.given.check_characters import (
    ALGORITHMS,
    CODE_39,
    DAMM_TABLE,
    DIGITS,
    VERHOEFF_PERMUTATIONS,
    CheckAlgorithm,
    dihedral,
)

States = NDArray[np.int32]


@dataclass(frozen=True, slots=True, eq=False)
class Machine:
    """A check algorithm by states.

    Attributes:
        algorithm: what it works out.
        from_right: whether it reads its text from the right.
        start: the state before the first character.
        step: the next state by state and character, shape (states + 1, characters + 2); the last
            state is that of texts that cannot be checked. The last character but one leaves
            states as they are, the last leads to the last state.
        results: the check characters of each state, None for the last.
    """

    algorithm: CheckAlgorithm
    from_right: bool
    start: int
    step: States
    results: Table


@dataclass(frozen=True, slots=True)
class _Rule:
    """What makes a machine: its states, and how a character's value changes one."""

    states: int
    start: int
    step: Callable[[int, int], int]
    result: Callable[[int], str]
    from_right: bool = False


@cache
def machine_of(algorithm: CheckAlgorithm) -> Machine | None:
    """The machine of an algorithm; None for one that is not known here."""
    rule = _RULES.get(algorithm.name)
    if rule is None or ALGORITHMS.get(algorithm.name) is not algorithm:
        return None
    made, size = rule(algorithm), len(algorithm.alphabet)
    step = np.full((made.states + 1, size + 2), made.states, np.int32)
    for state in range(made.states):
        step[state, :size] = [made.step(state, value) for value in range(size)]
    step[:, size] = np.arange(made.states + 1)
    results = Table((*map(made.result, range(made.states)), None))
    return Machine(algorithm, made.from_right, made.start, step, results)


def checked(machine: Machine, columns: Sequence[Column], rows: int) -> Column:
    """The check characters over columns; no text where they are empty or cannot be checked."""
    whole = [column for column in columns if column.basis.which is not None]
    if len({id(column.basis) for column in whole}) < 2:
        one = merged(columns, rows)
        return Column(machine.results, _ended(machine, one.table)[one.ids], one.basis)
    states: States = np.full(rows, machine.start, np.int32)
    empty = np.ones(rows, np.bool_)
    for column in reversed(columns) if machine.from_right else columns:
        ids = column.of_rows()
        for characters in _characters(machine, column.table):
            states = machine.step[states, characters[ids]]
        empty &= _lengths(column.table)[ids] == 0
    states[empty] = len(machine.step) - 1
    return by_row(machine.results, states.astype(np.intp))


def _ended(machine: Machine, table: Table) -> Index:
    """The state after each text of a table."""
    return table.once(("ended", machine.algorithm.name), lambda: _ends(machine, table))


def _ends(machine: Machine, table: Table) -> Index:
    states: States = np.full(len(table.texts), machine.start, np.int32)
    for characters in _characters(machine, table):
        states = machine.step[states, characters]
    states[_lengths(table) == 0] = len(machine.step) - 1
    return states.astype(np.intp)


def _characters(machine: Machine, table: Table) -> list[Index]:
    """By place, the character of each text there, in the order they are read."""
    key = ("characters", machine.algorithm.name)
    return table.once(key, lambda: _placed(machine, table.texts))


def _placed(machine: Machine, texts: Iterable[str | None]) -> list[Index]:
    alphabet = {char: n for n, char in enumerate(machine.algorithm.alphabet)}
    skip, dead = len(alphabet), len(alphabet) + 1
    read = [
        [dead] if text is None else [alphabet.get(char, dead) for char in text] for text in texts
    ]
    width = max(map(len, read), default=0)
    filled = np.array([row + [skip] * (width - len(row)) for row in read], np.intp)
    places = [np.ascontiguousarray(filled[:, place]) for place in range(width)]
    return places[::-1] if machine.from_right else places


def _lengths(table: Table) -> Index:
    return table.once("lengths", lambda: np.array([len(t or "") for t in table.texts], np.intp))


def _weighted(weights: Sequence[str]) -> Callable[[CheckAlgorithm], _Rule]:
    """Digits counted in turn as two rows of digits say, from the right."""

    def step(state: int, value: int) -> int:
        turn, total = divmod(state, 10)
        return (1 - turn) * 10 + (total + int(weights[turn][value])) % 10

    return lambda _: _Rule(20, 0, step, lambda state: str(-state % 10), from_right=True)


def _pure(modulus: int, radix: int) -> Callable[[CheckAlgorithm], _Rule]:
    """A pure system of ISO 7064."""

    def rule(algorithm: CheckAlgorithm) -> _Rule:
        def result(state: int) -> str:
            if algorithm.length == 1:
                return algorithm.results[(1 - state) % modulus]
            values = divmod((1 - state * radix) % modulus, radix)
            return "".join(algorithm.results[value] for value in values)

        return _Rule(modulus, 0, lambda state, v: (state + v) * radix % modulus, result)

    return rule


def _hybrid(algorithm: CheckAlgorithm) -> _Rule:
    """A hybrid system of ISO 7064."""
    size = len(algorithm.alphabet)

    def step(state: int, value: int) -> int:
        return ((state + value) % size or size) * 2 % (size + 1)

    return _Rule(size + 1, size, step, lambda state: algorithm.alphabet[(1 - state) % size])


def _mod97(_: CheckAlgorithm) -> _Rule:
    def step(state: int, value: int) -> int:
        return (state * (100 if value > 9 else 10) + value) % 97

    return _Rule(97, 0, step, lambda state: f"{98 - state * 100 % 97:02}")


def _verhoeff(_: CheckAlgorithm) -> _Rule:
    def step(state: int, value: int) -> int:
        element, place = divmod(state, 8)
        changed = int(VERHOEFF_PERMUTATIONS[place][value])
        return dihedral(element, changed) * 8 + (place + 1) % 8

    def result(state: int) -> str:
        element = state // 8
        return str((5 - element) % 5 if element < 5 else element)

    return _Rule(80, 1, step, result, from_right=True)


def _damm(_: CheckAlgorithm) -> _Rule:
    return _Rule(10, 0, lambda state, value: int(DAMM_TABLE[state][value]), str)


def _mod43(_: CheckAlgorithm) -> _Rule:
    return _Rule(43, 0, lambda state, value: (state + value) % 43, lambda state: CODE_39[state])


_TRIPLED = "".join(str(3 * digit % 10) for digit in range(10))
_RULES: dict[str, Callable[[CheckAlgorithm], _Rule]] = {
    "gs1-mod10": _weighted((_TRIPLED, DIGITS)),
    "luhn": _weighted(("0246813579", DIGITS)),
    "verhoeff": _verhoeff,
    "damm": _damm,
    "code39-mod43": _mod43,
    "iso7064-mod97-10": _mod97,
    "iso7064-mod11-2": _pure(11, 2),
    "iso7064-mod37-2": _pure(37, 2),
    "iso7064-mod661-26": _pure(661, 26),
    "iso7064-mod1271-36": _pure(1271, 36),
    "iso7064-mod11-10": _hybrid,
    "iso7064-mod27-26": _hybrid,
    "iso7064-mod37-36": _hybrid,
}
