"""Statements as the formatter writes them: words in canonical order, apart from their places.

A `Leaf` is written as a list of atoms that are never broken; a `Group` has a head and, between
braces, what belongs to it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import Enum
from functools import cache

from rasterc.diagnostics import Span
from rasterc.source.message import line_attributes
from rasterc.source.pieces import Field, Literal, Piece, Word
from rasterc.source.quoting import name_of_field
from rasterc.source.tree import syntax as s


class Style(Enum):
    """How a group is laid out when no comment stands in it."""

    LINES = "each part on a line of its own"
    SINGLE = "on one line when there is one part and it fits"
    FILL = "as many parts on a line as fit"


@dataclass(frozen=True, slots=True)
class Leaf:
    """A statement without braces, from ``start`` to ``end`` of the text."""

    start: int
    end: int
    atoms: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Group:
    """A statement with braces; ``brace`` is the place of the opening one."""

    start: int
    brace: int
    end: int
    atoms: tuple[str, ...]
    parts: tuple[Leaf | Group, ...]
    style: Style


Part = Leaf | Group

_BRACE = re.compile(r"\{|#[^\n]*")
_COUNTER_ORDER = ("step", "each", "base", "digits", "restart", "at")
_INPUT_ORDER = ("date", "within", "not", "matching", "one", "length", "default")
_TABLE_ORDER = ("from", "key", "separated", "every", "letters")


@cache
def _attribute_words() -> dict[str, int]:
    """Attributes in canonical order, with the number of words that follow."""
    lines = {name: attribute.words for name, attribute in line_attributes().items()}
    return {**lines, "gap": 1, "stand": 1}


def outline(file: s.File) -> tuple[Part, ...]:
    """The statements of a file."""
    return tuple(_part(item) for item in file.items)


def _part(node: s.Use | s.MessageNode | s.Statement) -> Part:
    match node:
        case s.Use():
            return _leaf(node.span, "use", _text(node.path))
        case s.MessageNode():
            parts = tuple(_part(item) for item in node.body)
            return _group(node.span, node.name.span.end, ["message", node.name.text], parts)
        case s.Setting():
            return _leaf(node.span, node.keyword.text, _text(node.value))
        case s.ClockRead() | s.ClockDerived():
            return _clock(node)
        case s.ShiftNode():
            return _shift(node)
        case s.CounterNode() | s.InputNode():
            return _with_options(node)
        case s.TableNode():
            return _table(node)
        case s.TextNode():
            return _leaf(node.span, "text", node.name.text, "=", *_pieces(node.pieces))
        case s.CheckNode():
            head = ["check", node.name.text, "=", node.algorithm.text, "of"]
            return _leaf(node.span, *head, *_pieces(node.pieces))
        case s.BlockNode():
            return _block(node)
        case s.RequireNode():
            words = [node.measure, node.comparison, node.limit, *([node.unit] if node.unit else [])]
            return _leaf(node.span, "require", *map(_text, words))
        case s.ExpectNode():
            return _expect(node)
        case s.SilenceNode():
            return _silence(node)


def _leaf(span: Span, *atoms: str) -> Leaf:
    return Leaf(span.start, span.end, atoms)


def _group(
    span: Span,
    head_end: int,
    head: Iterable[str],
    parts: Sequence[Part],
    style: Style = Style.LINES,
) -> Group:
    brace = head_end
    for match in _BRACE.finditer(span.source.text, head_end, span.end):
        if match[0] == "{":
            brace = match.start()
            break
    return Group(span.start, brace, span.end, tuple(head), tuple(parts), style)


def _text(word: Word) -> str:
    """A word as written; quoted texts keep their escapes."""
    return word.span.text if word.quoted or "." in word.text else word.text


def _time(word: Word) -> str:
    """A time of day with two digits for the hour."""
    return word.text.zfill(5) if word.text.count(":") == 1 else word.text.zfill(8)


def _pieces(pieces: Iterable[Piece]) -> list[str]:
    return [p.span.text if isinstance(p, Literal) else _field(p) for p in pieces]


def _field(field: Field) -> str:
    inside = ", ".join(argument.raw for argument in field.arguments)
    name = name_of_field(field.span).text
    return f"{name}({inside})" if inside else name


def _clock(node: s.ClockNode) -> Leaf:
    if isinstance(node, s.ClockRead):
        day = [",", "day", "from", _time(node.day_from)] if node.day_from else []
        return _leaf(node.span, *_commas("clock", node.name.text, "in", _text(node.zone), *day))
    start = " of ".join(word.text for word in node.start)
    steps = [_step(step) for step in node.steps]
    short = [",", "short", "month", node.short_month.text] if node.short_month else []
    return _leaf(node.span, *_commas("clock", node.name.text, "=", start, *steps, *short))


def _step(step: s.OffsetStep | s.MoveStep) -> str:
    if isinstance(step, s.OffsetStep):
        return f"{step.sign.text} {_text(step.amount)} {step.unit.text}"
    return " ".join(["to", *(word.text for word in step.words)])


def _commas(*atoms: str) -> list[str]:
    """The atoms with each "," joined to the one before."""
    joined: list[str] = []
    for atom in atoms:
        if atom == ",":
            joined[-1] += ","
        else:
            joined.append(atom)
    return joined


def _shift(node: s.ShiftNode) -> Group:
    parts = [_shift_row(row) for row in node.rows]
    head, end = ["shift", node.name.text, "of", node.clock.text], node.clock.span.end
    if node.roster is not None:
        amount, unit, start, span = node.roster
        head += ["every", amount.text, unit.text, "from", start.text]
        end = span.end
    return _group(node.span, end, head, parts)


def _shift_row(row: s.ShiftRow) -> Leaf:
    days = ", ".join(" to ".join(word.text for word in words) for words in row.days)
    on = ["on", days] if days else []
    return _leaf(row.span, _text(row.label), "from", _time(row.start), *on)


def _phrases(phrases: Sequence[s.Phrase], order: Sequence[str]) -> list[str]:
    """Options in canonical order, each one atom. Choices after a comma stay with their option."""
    merged: list[list[Word]] = []
    for phrase in phrases:
        if merged and phrase.words[0].quoted:
            merged[-1] += phrase.words
        else:
            merged.append([*phrase.words])
    merged.sort(key=lambda words: _rank(words[0].text, order))
    return [" ".join(map(_text, words)) for words in merged]


def _rank(word: str, order: Sequence[str]) -> int:
    return order.index(word) if word in order else len(order)


def _with_options(node: s.CounterNode | s.InputNode) -> Leaf:
    if isinstance(node, s.CounterNode):
        way = ["down", "to"] if node.down else ["to"]
        head = ["counter", node.name.text, "from", node.first.text, *way, node.last.text]
        options = _phrases(node.options, _COUNTER_ORDER)
        return _leaf(node.span, *_commas(*head, *(a for o in options for a in (",", o))))
    options = _phrases(node.options, _INPUT_ORDER)
    return _leaf(node.span, *_commas("input", node.name.text, *_listed(options)))


def _listed(options: Sequence[str]) -> list[str]:
    """Options with commas between them."""
    return [atom for option in options for atom in (",", option)][1:]


def _table(node: s.TableNode) -> Part:
    options = _listed(_phrases(node.options, _TABLE_ORDER))
    head = _commas("table", node.name.text, *options)
    if node.rows is None:
        return _leaf(node.span, *head)
    keyed = any(row.key is not None for row in node.rows)
    parts = [_table_row(row) for row in node.rows]
    end = node.options[-1].span.end if node.options else node.name.span.end
    return _group(node.span, end, head, parts, Style.LINES if keyed else Style.FILL)


def _table_row(row: s.TableRow) -> Leaf:
    key = [_text(row.key), "->"] if row.key else []
    return _leaf(row.span, " ".join([*key, _text(row.text)]))


def _block(node: s.BlockNode) -> Group:
    parts = [_block_item(item) for item in node.content]
    end = node.words[-1].span.end if node.words else node.span.start + len("block")
    return _group(node.span, end, ["block", *_attributes(node.words)], parts, Style.SINGLE)


def _block_item(node: s.BlockItem) -> Leaf:
    match node:
        case s.PictureNode():
            return _leaf(node.span, "picture", _text(node.path), *_attributes(node.words))
        case s.SilenceNode():
            return _silence(node)
        case s.LineNode():
            head = ["line", *_attributes(node.words)]
        case s.SymbolNode():
            head = ["symbol", node.kind.text, *_attributes(node.words)]
    head[-1] += ":"
    return _leaf(node.span, *head, *_pieces(node.pieces))


def _attributes(words: Sequence[Word]) -> list[str]:
    """Attributes in canonical order; as written when they cannot be told apart."""
    known = _attribute_words()
    groups: list[list[Word]] = []
    index = 0
    while index < len(words):
        count = -1 if words[index].quoted else known.get(words[index].text, -1)
        group = [*words[index : index + 1 + count]]
        if count < 0 or len(group) <= count:
            return [_text(word) for word in words]
        groups.append(group)
        index += 1 + count
    groups.sort(key=lambda group: _rank(group[0].text, list(known)))
    return [" ".join(map(_text, group)) for group in groups]


def _expect(node: s.ExpectNode) -> Group:
    conditions = sorted(node.conditions, key=lambda c: isinstance(c, s.Given))
    atoms = _commas("expect", *_listed([_condition(c) for c in conditions]))
    parts = [Leaf(line.span.start, line.span.end, (line.span.text,)) for line in node.lines]
    last = node.conditions[-1].span.end if node.conditions else node.span.start + len("expect")
    return _group(node.span, last, atoms, parts, Style.SINGLE)


def _silence(node: s.SilenceNode) -> Leaf:
    return _leaf(node.span, "silence", node.rule.text, "because", _text(node.reason))


def _condition(condition: s.Moment | s.Given) -> str:
    if isinstance(condition, s.Given):
        return f"{condition.name.text} {_text(condition.value)}"
    offset = condition.offset.text if condition.offset else ""
    return f"{condition.word.text} {condition.date.text} {_time(condition.time)}{offset}"
