"""Declarations with their kinds known: the typed twin of the declaration nodes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import TypeVar

from rasterc.source import syntax as s
from rasterc.source.blocks import check_pieces
from rasterc.source.clocks import clock, shift
from rasterc.source.counters import counter
from rasterc.source.inputs import input_
from rasterc.source.message import Check, Clock, Counter, Input, Shift, Table, Text
from rasterc.source.references import references
from rasterc.source.scope import Scope, kind_of, place_of
from rasterc.source.tables import table

T = TypeVar("T")


@dataclass(slots=True)
class Declared:
    """Typed declarations by kind and name. Filled by `declare`, then only read."""

    clocks: dict[str, Clock] = field(default_factory=dict)
    shifts: dict[str, Shift] = field(default_factory=dict)
    counters: dict[str, Counter] = field(default_factory=dict)
    inputs: dict[str, Input] = field(default_factory=dict)
    tables: dict[str, Table] = field(default_factory=dict)
    texts: dict[str, Text] = field(default_factory=dict)
    checks: dict[str, Check] = field(default_factory=dict)
    refers: dict[str, list[str]] = field(default_factory=dict)

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
                self.inputs[name] = input_(node, scope)
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
            texts=_picked(self.texts, wanted),
            checks=_picked(self.checks, wanted),
        )


def _picked(group: Mapping[str, T], names: Iterable[str]) -> dict[str, T]:
    return {name: group[name] for name in names if name in group}


def declare(nodes: Mapping[str, s.Declaration], scope: Scope) -> Declared:
    """The typed declarations of ``nodes``; mistakes go to the scope's problems."""
    declared = Declared()
    for node in nodes.values():
        if scope.problems.full:
            break
        with scope.problems.catching():
            declared.add(node, scope)
    return declared


def by_name(
    nodes: Iterable[s.Declaration], known: Mapping[str, s.Declaration], scope: Scope
) -> dict[str, s.Declaration]:
    """Declarations by name; a name declared twice, here or in ``known``, is reported."""
    found: dict[str, s.Declaration] = {}
    for node in nodes:
        name = node.name
        other = found.get(name.text) or known.get(name.text)
        if other is None:
            found[name.text] = node
        elif other.span != node.span and not scope.problems.full:
            scope.problems.add(
                "duplicate-name",
                f'"{name.text}" is declared twice',
                name.span,
                f"the other one, a {kind_of(other)}, is in {place_of(other.name.span)}; "
                "rename one of them",
            )
    return found
