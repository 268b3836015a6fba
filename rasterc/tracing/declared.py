"""What two versions of a message declare differently."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from msgspec import Struct, structs

from rasterc.diagnostics import Span
from rasterc.source.message import Block, Line, Message, Picture, line_attributes
from rasterc.source.times import Clock

_KINDS = ("clocks", "shifts", "counters", "inputs", "tables", "texts", "checks")


class Change(StrEnum):
    """What happened to a declaration."""

    ADDED = "added"
    REMOVED = "removed"
    CHANGED = "changed"


@dataclass(frozen=True, slots=True)
class DeclaredChange:
    """A declaration, line or setting that the versions do not share.

    ``old`` and ``new`` are as written, blanks made one; "" where it is not there.
    """

    change: Change
    what: str
    old: str
    new: str


def plain(value: object) -> object:
    """A value of a message without its places in the source, to be compared."""
    if isinstance(value, Span):
        return None
    if isinstance(value, Struct):
        return (type(value).__name__, *map(plain, structs.astuple(value)))
    if isinstance(value, Mapping):
        return tuple((key, plain(item)) for key, item in value.items())
    if isinstance(value, tuple | list):
        return tuple(map(plain, value))
    return value


def declared_changes(old: Message, new: Message) -> tuple[DeclaredChange, ...]:
    """Everything that is written differently in the two, in the order of the old one."""
    found = [*_settings(old, new)]
    for kind in _KINDS:
        found += _named(kind.removesuffix("s"), _of_kind(old, kind), _of_kind(new, kind))
    if old.products or new.products:  # columns and keys of rows, which are told of by the row
        found = [change for change in found if change.old != change.new]
    found += _numbered(_blocks(old), _blocks(new))
    found += _unnamed("require", old.requires, new.requires)
    found += _unnamed("expect", old.expects, new.expects)
    return tuple(found)


def look(message: Message) -> object:
    """All that decides how texts are printed, but not which: equal when they look the same."""
    return message.raster, tuple((b.gap, b.stand, _looks(b)) for b in message.blocks)


def _looks(block: Block) -> object:
    if isinstance(block.content, Picture):
        return plain(block.content)
    return tuple(_style(line) for line in block.content)


def _style(line: Line) -> object:
    return tuple(getattr(line, name) for name in line_attributes())


def _settings(old: Message, new: Message) -> Iterator[DeclaredChange]:
    for what in ("name", "raster", "language"):
        before, after = str(getattr(old, what)), str(getattr(new, what))
        if before != after:
            yield DeclaredChange(Change.CHANGED, what, before, after)


def _of_kind(message: Message, kind: str) -> Mapping[str, object]:
    """What is declared as a kind; a date that is typed is an input."""
    found: Mapping[str, object] = getattr(message, kind)
    return {n: one for n, one in found.items() if not (isinstance(one, Clock) and one.typed)}


def _named(
    kind: str, old: Mapping[str, object], new: Mapping[str, object]
) -> Iterator[DeclaredChange]:
    for name in dict.fromkeys((*old, *new)):
        yield from _pair(f"{kind} {name}", old.get(name), new.get(name))


def _blocks(message: Message) -> Mapping[str, object]:
    """Lines and pictures by their number; each block's gap goes with the block."""
    found: dict[str, object] = {}
    number = 0
    for index, block in enumerate(message.blocks, 1):
        if isinstance(block.content, Picture):
            found[f"block {index}"] = block
            continue
        for line in block.content:
            number += 1
            found[f"line {number}"] = line
        found[f"gap before block {index}"] = block.gap
        found[f"stand of block {index}"] = block.stand
    return found


def _numbered(old: Mapping[str, object], new: Mapping[str, object]) -> Iterator[DeclaredChange]:
    for what in dict.fromkeys((*old, *new)):
        yield from _pair(what, old.get(what), new.get(what))


def _unnamed(kind: str, old: Sequence[object], new: Sequence[object]) -> Iterator[DeclaredChange]:
    """Those that only one version has."""
    before, after = list(map(plain, old)), list(map(plain, new))
    for item, key in zip(old, before, strict=True):
        if key not in after:
            yield from _pair(kind, item, None)
    for item, key in zip(new, after, strict=True):
        if key not in before:
            yield from _pair(kind, None, item)


def _pair(what: str, old: object, new: object) -> Iterator[DeclaredChange]:
    if plain(old) == plain(new):
        return
    change = Change.ADDED if old is None else Change.REMOVED if new is None else Change.CHANGED
    before, after = _written(old), _written(new)
    if before == after:  # what differs is set elsewhere: the font of the message, say
        before, after = before + _set_elsewhere(old, new), after + _set_elsewhere(new, old)
    yield DeclaredChange(change, what, before, after)


def _written(item: object) -> str:
    span = getattr(item, "span", None)
    if isinstance(span, Span):
        return " ".join(span.text.split())
    return "" if item is None else str(item)


def _set_elsewhere(item: object, other: object) -> str:
    """The plain attributes of an item that another one has differently."""
    if not isinstance(item, Struct):
        return ""
    values = structs.asdict(item).items()
    differing = [
        f"{name.replace('_', ' ')} {value}"
        for name, value in values
        if isinstance(value, str | int) and value != getattr(other, name)
    ]
    return f" ({', '.join(differing)})" if differing else ""
