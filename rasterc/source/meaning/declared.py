"""Declarations with their kinds known: the typed twin of the declaration nodes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TypeVar

from msgspec import Struct, field

from rasterc.source.declarations import Check, Counter, Input, Products, Table, Text
from rasterc.source.meaning.clocks import clock, shift
from rasterc.source.meaning.counters import counter
from rasterc.source.meaning.inputs import input_
from rasterc.source.meaning.lines import check_pieces
from rasterc.source.meaning.products import columns_in, is_from_file, products
from rasterc.source.meaning.references import check_references, references
from rasterc.source.meaning.scope import Scope, kind_of, place_of
from rasterc.source.meaning.tables import table
from rasterc.source.message import Block, Picture
from rasterc.source.times import Clock, Shift
from rasterc.source.tree import syntax as s

T = TypeVar("T")


class Declared(Struct):
    """Typed declarations by kind and name. Filled by `declare`, then only read."""

    clocks: dict[str, Clock] = field(default_factory=dict)
    shifts: dict[str, Shift] = field(default_factory=dict)
    counters: dict[str, Counter] = field(default_factory=dict)
    inputs: dict[str, Input] = field(default_factory=dict)
    tables: dict[str, Table] = field(default_factory=dict)
    products: dict[str, Products] = field(default_factory=dict)
    texts: dict[str, Text] = field(default_factory=dict)
    checks: dict[str, Check] = field(default_factory=dict)
    refers: dict[str, list[str]] = field(default_factory=dict)
    doubtful: dict[str, str] = field(default_factory=dict)
    """Names declared with a mistake, and their kinds; what could be read of them is kept too."""

    def add(self, node: s.Declaration, scope: Scope) -> None:
        """Add what a node declares. Raises InputError when nothing can be made of it."""
        name = node.name.text
        self.refers[name] = references(node)
        match node:
            case s.ClockRead() | s.ClockDerived():
                self.clocks[name] = clock(node, scope)
            case s.ShiftNode():
                self.shifts[name] = shift(node, scope)
            case s.CounterNode():
                self.counters[name] = made = counter(node, scope)
                self.refers[name] = [made.restart_of] if made.restart_of else []
            case s.InputNode():
                self.inputs[name] = given = input_(node, scope)
                if given.date is not None:
                    self.clocks[name] = Clock(name, node.span, typed=True)
            case s.TableNode() if is_from_file(node):
                self.products[name] = made_of_rows = products(node, scope)
                self.refers[name] = [made_of_rows.by]
            case s.TableNode():
                self.tables[name] = table(node, scope)
            case s.TextNode():
                check_pieces(node.pieces, scope)
                self.texts[name] = Text(name, node.pieces, node.span)
            case s.CheckNode():
                check_pieces(node.pieces, scope)
                place = node.algorithm
                self.checks[name] = Check(name, place.text, place.span, node.pieces, node.span)

    def only(self, names: Iterable[str]) -> Declared:
        """The declarations of these names."""
        wanted = tuple(names)
        return Declared(
            clocks=_picked(self.clocks, wanted),
            shifts=_picked(self.shifts, wanted),
            counters=_picked(self.counters, wanted),
            inputs=_picked(self.inputs, wanted),
            tables=_picked(self.tables, wanted),
            products=_picked(self.products, wanted),
            texts=_picked(self.texts, wanted),
            checks=_picked(self.checks, wanted),
            doubtful=self.doubtful,
        )

    def drop(self, names: Iterable[str], nodes: Mapping[str, s.Declaration]) -> None:
        """Take out declarations that cannot be followed; they are in doubt from then on."""
        kinds = (self.clocks, self.shifts, self.inputs, self.texts, self.checks)
        for name in names:
            self.doubtful[name] = kind_of(nodes[name])
            for kind in kinds:
                kind.pop(name, None)


def _picked(group: Mapping[str, T], names: Iterable[str]) -> dict[str, T]:
    return {name: group[name] for name in names if name in group}


def declare(
    nodes: Mapping[str, s.Declaration], again: Iterable[s.Declaration], scope: Scope
) -> Declared:
    """The typed declarations of ``nodes``; mistakes go to the scope's problems.

    Those of ``again``, whose names are taken, are only looked through for mistakes.
    """
    declared = Declared()
    for node in nodes.values():
        _declare_one(node, declared, scope)
    declared.drop(check_references(nodes, scope), nodes)
    for node in again:
        _declare_one(node, Declared(), scope)
        kinds = {kind_of(node), kind_of(scope.nodes[node.name.text])}
        declared.doubtful[node.name.text] = kinds.pop() if len(kinds) == 1 else ""
    return declared


def _declare_one(node: s.Declaration, declared: Declared, scope: Scope) -> None:
    problems = scope.problems
    if problems.full:
        return
    before, done = len(problems.found), False
    with problems.catching():
        declared.add(node, scope)
        done = True
    if not done or len(problems.found) > before:
        declared.doubtful[node.name.text] = kind_of(node)


def by_name(
    nodes: Iterable[s.Declaration], known: Mapping[str, s.Declaration], scope: Scope
) -> tuple[dict[str, s.Declaration], list[s.Declaration]]:
    """Declarations by name; and those whose name is taken, here or in ``known``: reported."""
    found: dict[str, s.Declaration] = {}
    again: list[s.Declaration] = []
    for node in nodes:
        name = node.name
        other = found.get(name.text) or known.get(name.text)
        if other is None:
            found[name.text] = node
        elif other.span != node.span:
            again.append(node)
            scope.problems.add(
                "duplicate-name",
                f'"{name.text}" is declared twice',
                name.span,
                f"the other one, a {kind_of(other)}, is in {place_of(other.name.span)}; "
                "rename one of them",
            )
    return found, again


def printed_columns(blocks: Sequence[Block], declared: Declared) -> dict[str, Table]:
    """The columns of product tables that are printed, by their names."""
    lines = (b.content for b in blocks if not isinstance(b.content, Picture))
    pieces = [piece for block in lines for line in block for piece in line.pieces]
    pieces += (piece for text in declared.texts.values() for piece in text.pieces)
    pieces += (piece for check in declared.checks.values() for piece in check.pieces)
    found: dict[str, Table] = {}
    for name in dict.fromkeys(columns_in(pieces)):
        table, _, column = name.partition(".")
        made = declared.products.get(table)
        if made is not None and column in made.sheet.header:
            found[name] = made.table(column)
    return found
