"""Which texts of a touching stretch print the same when the fields between them vary freely.

A stretch is a row of texts that go by the time with fields between them that do not:
``"1" case`` may print what ``"11" case`` does. Two such rows *overlap* when some text is spelled by
both. All rows are held in one tree and spelled by two heads at once that read the same characters.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import TypeVar

from rasterc.domain.progress import Progress, quiet
from rasterc.extremes.spellings import Spelling, State

MAX_ROWS = 100_000
MAX_STEPS = 500_000  # pairs of heads that are looked at
MAX_TRIED = 20_000  # steps of looking for the ways to spell one text

Row = tuple[str, ...]
"""The texts before, between and after the free fields: one more than there are fields."""

Head = tuple[int, int]
"""How far one way to spell a text has got: a node of the tree, and the state of the free field that
follows it, `_IN_TREE` when none has been begun there."""

_To = TypeVar("_To")
_BREAK = ""  # stands in the tree where a free field does
_IN_TREE = -1


class TooManyError(Exception):
    """Too many pairs would have to be looked at."""


@dataclass(slots=True)
class _Field:
    """A free field, with states numbered as they come up: each a set of states of its spelling."""

    spelled: Spelling
    sets: list[frozenset[State]] = field(default_factory=list)
    ends: list[bool] = field(default_factory=list)
    _numbers: dict[frozenset[State], int] = field(default_factory=dict)
    _moves: dict[int, list[tuple[str, int]]] = field(default_factory=dict)
    _meets: dict[tuple[int, int], bool] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._number(frozenset(self.spelled.starts))

    def _number(self, states: frozenset[State]) -> int:
        if states not in self._numbers:
            self._numbers[states] = len(self.sets)
            self.sets.append(states)
            self.ends.append(any(map(self.spelled.ends, states)))
        return self._numbers[states]

    def moves(self, state: int) -> list[tuple[str, int]]:
        """Characters that may come next, as strings of those that lead to the same state."""
        if state not in self._moves:
            after: dict[str, set[State]] = {}
            for one in self.sets[state]:
                for chars, to in self.spelled.moves(one):
                    for char in chars:
                        after.setdefault(char, set()).add(to)
            together: dict[int, str] = {}
            for char, states in after.items():
                number = self._number(frozenset(states))
                together[number] = together.get(number, "") + char
            self._moves[state] = [(chars, number) for number, chars in together.items()]
        return self._moves[state]

    def meets(self, one: int, other: int) -> bool:
        """Whether some rest of a text can follow both states."""
        if (one, other) not in self._meets:
            self._meets[one, other] = self._find(one, other)
        return self._meets[one, other]

    def _find(self, one: int, other: int) -> bool:
        todo = [(one, other)]
        seen = set(todo)
        while todo:
            a, b = todo.pop()
            if (self.ends[a] and self.ends[b]) or self._meets.get((a, b)):
                return True
            pairs = {pair for _, pair in _together(self.moves(a), self.moves(b))} - seen
            seen |= pairs
            todo += pairs
        return False


@dataclass(slots=True)
class _Tree:
    """Rows as a tree of characters.

    Attributes:
        below: the nodes below each, by character.
        row: the number of the row that ends at each node, -1 when none does.
        alone: the row below a node when it is the only one, else -1.
        level: free fields before each node.
    """

    below: list[dict[str, int]] = field(default_factory=lambda: [{}])
    row: list[int] = field(default_factory=lambda: [-1])
    alone: list[int] = field(default_factory=lambda: [-2])
    level: list[int] = field(default_factory=lambda: [0])

    @classmethod
    def of(cls, rows: Iterable[Row]) -> _Tree:
        """The tree of some rows."""
        tree = cls()
        for number, row in enumerate(rows):
            node = tree._passed(0, number)
            for index, text in enumerate(row):
                for char in text if index == 0 else (_BREAK, *text):
                    node = tree._passed(tree._under(node, char), number)
            tree.row[node] = number
        return tree

    def _passed(self, node: int, number: int) -> int:
        self.alone[node] = number if self.alone[node] == -2 else -1
        return node

    def _under(self, node: int, char: str) -> int:
        if char not in self.below[node]:
            self.below[node][char] = len(self.below)
            self.below.append({})
            self.row.append(-1)
            self.alone.append(-2)
            self.level.append(self.level[node] + (char == _BREAK))
        return self.below[node][char]


class Overlaps:
    """The overlaps of some rows around the same free fields."""

    def __init__(self, rows: Sequence[Row], fields: Sequence[Spelling]) -> None:
        self.rows = rows
        self.spelled = fields
        self._fields = [_Field(each) for each in fields]

    def pairs(self, progress: Progress = quiet) -> list[tuple[int, int]]:
        """The numbers of all different rows that overlap, the smaller one first.

        Raises:
            TooManyError: that cannot be told with little work.
        """
        if not self._fields:
            return []
        if len(self.rows) > MAX_ROWS:
            raise TooManyError
        tree, found = _Tree.of(self.rows), set[tuple[int, int]]()
        start = (0, _IN_TREE)
        todo: list[tuple[Head, Head]] = [(start, start)]
        seen = set(todo)
        while todo:
            one, other = todo.pop()
            if len(seen) % 1000 == 0:
                progress(f"{len(seen):,} beginnings of texts held against each other")
            rows = tree.row[one[0]], tree.row[other[0]]
            if min(rows) >= 0 and one[1] != _IN_TREE and other[1] != _IN_TREE:
                if self._fields[-1].meets(one[1], other[1]):  # both in the last field
                    found.add((min(rows), max(rows)))
                continue
            a, b = self._ended(tree, one), self._ended(tree, other)
            if a != b and min(a, b) >= 0:
                found.add((min(a, b), max(a, b)))
            for pair in self._steps(tree, one, other):
                if pair not in seen and not _is_settled(tree, *pair):
                    seen.add(pair)
                    todo.append(pair)
            if len(seen) > MAX_STEPS:
                raise TooManyError
        return sorted(found)

    def ways(self, one: int, other: int) -> Iterator[tuple[Row, Row]]:
        """Ways in which two rows spell one text: the texts of the free fields of both.

        Of characters that lead on in the same way only two are tried.
        """
        trees = _Tree.of([self.rows[one]]), _Tree.of([self.rows[other]])
        empty = ("",) * len(self._fields)
        start = (0, _IN_TREE)
        todo: list[tuple[Head, Head, Row, Row]] = [(start, start, empty, empty)]
        for _ in range(MAX_TRIED):
            if not todo:
                return
            a, b, texts, others = todo.pop()
            if self._ended(trees[0], a) == self._ended(trees[1], b) == 0:
                yield texts, others
            moves = _together(self._moves(trees[0], a), self._moves(trees[1], b))
            for chars, (c, d) in moves:
                for char in chars[:2]:
                    mine, theirs = (
                        _grown(trees[0], texts, c, char),
                        _grown(trees[1], others, d, char),
                    )
                    todo.append((c, d, mine, theirs))

    def _ended(self, tree: _Tree, head: Head) -> int:
        """The row that a head has spelled if nothing follows, -1 when something has to."""
        node, state = head
        if state != _IN_TREE and not self._fields[tree.level[node] - 1].ends[state]:
            return -1
        while _BREAK in tree.below[node]:  # the fields that follow have to be empty
            node = tree.below[node][_BREAK]
            if not self._fields[tree.level[node] - 1].ends[0]:
                return -1
        return tree.row[node]

    def _steps(self, tree: _Tree, one: Head, other: Head) -> Iterator[tuple[Head, Head]]:
        """The heads after one more character that both read."""
        mine = self._moves(tree, one)
        if one == other:  # either head may run ahead: one of both ways is enough
            for index, move in enumerate(mine):
                yield from (pair for _, pair in _together([move], mine[index:]))
            return
        yield from (pair for _, pair in _together(mine, self._moves(tree, other)))

    def _moves(self, tree: _Tree, head: Head) -> list[tuple[str, Head]]:
        """Characters a head may read, and the head after them."""
        node, state = head
        if state == _IN_TREE:
            return self._under(tree, node)
        own = self._fields[tree.level[node] - 1]
        moves = [(chars, (node, to)) for chars, to in own.moves(state)]
        return moves + self._under(tree, node) if own.ends[state] else moves

    def _under(self, tree: _Tree, node: int) -> list[tuple[str, Head]]:
        moves: list[tuple[str, Head]] = []
        for char, below in tree.below[node].items():
            moves += (
                [(char, (below, _IN_TREE))] if char != _BREAK else self._moves(tree, (below, 0))
            )
        return moves


def _together(
    some: Sequence[tuple[str, _To]], more: Sequence[tuple[str, _To]]
) -> Iterator[tuple[str, tuple[_To, _To]]]:
    """Moves over the same characters."""
    for chars, one in some:
        for also, other in more:
            both = chars if chars == also else "".join(char for char in chars if char in also)
            if both:
                yield both, (one, other)


def _is_settled(tree: _Tree, one: Head, other: Head) -> bool:
    """Whether both heads can only end in the same row."""
    return tree.alone[one[0]] >= 0 and tree.alone[one[0]] == tree.alone[other[0]]


def _grown(tree: _Tree, texts: Row, head: Head, char: str) -> Row:
    """The texts of the free fields after a head has read one more character."""
    if head[1] == _IN_TREE:
        return texts
    at = tree.level[head[0]] - 1
    return (*texts[:at], texts[at] + char, *texts[at + 1 :])
