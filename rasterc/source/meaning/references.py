"""Who refers to whom among declarations: cycles, depth, and what a message reaches."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from itertools import pairwise

from rasterc.source.meaning.products import language_column, table_of
from rasterc.source.meaning.scope import Scope, kind_of
from rasterc.source.pieces import Field, Piece, Word
from rasterc.source.tree import syntax as s

MAX_DEPTH = 50
MAX_PIECES = 20_000
"""Pieces a text may come to when everything it names is written out."""

Neighbours = Callable[[str], Iterable[str]]


def references(node: s.Declaration) -> list[str]:
    """The names a declaration refers to, in order; some may not be declared."""
    if isinstance(node, s.ClockDerived):
        start = [] if node.start[-1].text[:1].isdigit() else [node.start[-1].text]
        amounts = (step.amount for step in node.steps if isinstance(step, s.OffsetStep))
        return start + _tables(amounts)
    if isinstance(node, s.InputNode):
        columns = _tables(word for phrase in node.options for word in phrase.words)
        return columns + list(_limits_of(node))
    if isinstance(node, s.ShiftNode):
        return [node.clock.text]
    if isinstance(node, s.TextNode | s.CheckNode):
        return names_in(node.pieces)
    return []


def _tables(words: Iterable[Word]) -> list[str]:
    """The tables of those words that are columns."""
    columns = (w.text for w in words if not w.quoted and "." in w.text and w.text[0].isalpha())
    return [table_of(column) for column in columns]


def _limits_of(node: s.InputNode) -> Iterator[str]:
    """The clocks after "before" and "after", which a typed date is held to."""
    for phrase in node.options:
        if phrase.words[0].text in ("within", "not"):
            for before, word in pairwise(phrase.words):
                if before.text in ("before", "after") and not word.text[:1].isdigit():
                    yield word.text


def names_in(pieces: Iterable[Piece]) -> list[str]:
    """The fields of some pieces and the tables their options name."""
    found: list[str] = []
    for piece in pieces:
        if isinstance(piece, Field):
            found.append(table_of(piece.name))
            for argument in piece.arguments:
                words = argument.words
                if column := language_column(argument):
                    found.append(table_of(column.text))
                found += [
                    after.text
                    for before, after in pairwise(words)
                    if before.text == "table" and not before.quoted
                ]
    return found


def check_references(nodes: Mapping[str, s.Declaration], scope: Scope) -> set[str]:
    """Report declarations of ``nodes`` that go round in a circle or are nested too deeply.

    Returns:
        The names that cannot be followed.
    """
    order, circles = _depth_first(nodes)
    for circle in circles:
        node = nodes[circle[0]]
        path = " -> ".join([*circle, circle[0]] if len(circle) <= 8 else [*circle[:8], "..."])
        scope.problems.add(
            "cycle",
            f'the {kind_of(node)} "{circle[0]}" depends on itself: {path}',
            node.name.span,
            "let one of them stand on its own",
        )
    if circles:
        return {name for circle in circles for name in circle}
    return _check_size(order, nodes, scope)


def _depth_first(
    nodes: Mapping[str, s.Declaration],
) -> tuple[list[str], list[list[str]]]:
    """Names with those they refer to first, and the circles found. Not recursive: chains are long.

    Each name is entered once, so that at most one circle is found for each reference.
    """
    order: list[str] = []
    circles: list[list[str]] = []
    state: dict[str, int] = {}  # where it is on the path, or -1 once done
    for root in nodes:
        if root in state:
            continue
        path = [root]
        state[root] = 0
        pending = [iter(references(nodes[root]))]
        while pending:
            name = next(pending[-1], None)
            if name is None:
                state[path[-1]] = -1
                order.append(path.pop())
                pending.pop()
            elif name in nodes and name not in state:
                state[name] = len(path)
                path.append(name)
                pending.append(iter(references(nodes[name])))
            elif name in nodes and state[name] >= 0 and len(circles) < 20:
                circles.append(path[state[name] :])
    return order, circles


def _check_size(order: list[str], nodes: Mapping[str, s.Declaration], scope: Scope) -> set[str]:
    """Report, and return, what is nested too deeply or comes to too many pieces written out."""
    found: set[str] = set()
    depth: dict[str, int] = {}
    pieces: dict[str, int] = {}
    for name in order:
        node = nodes[name]
        named = [other for other in references(node) if other in depth]
        depth[name] = 1 + max((depth[other] for other in named), default=0)
        pieces[name] = max(1, sum(pieces[other] for other in named))
        if depth[name] == MAX_DEPTH + 1 or pieces[name] > MAX_PIECES:
            scope.problems.add(
                "too-large",
                f'the {kind_of(node)} "{name}" is too large when all its names are written out',
                node.name.span,
                f"nest at most {MAX_DEPTH} declarations, and print at most {MAX_PIECES} pieces",
            )
            pieces[name] = depth[name] = 1
            found.add(name)
    return found


def reached(start: Iterable[str], neighbours: Neighbours) -> list[str]:
    """Everything that can be reached from ``start``, itself included, each once."""
    found: dict[str, None] = {}
    waiting = list(start)
    while waiting:
        name = waiting.pop()
        if name not in found:
            found[name] = None
            waiting.extend(neighbours(name))
    return list(found)
