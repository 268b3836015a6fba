"""Blocks, lines and pictures."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Any, TypeVar

from msgspec import Struct, structs

from rasterc.diagnostics import InputError, Span
from rasterc.source.meaning.phrases import Handler, Reader, apply_attributes
from rasterc.source.meaning.products import check_text, is_from_file, language_column, table_of
from rasterc.source.meaning.scope import Scope
from rasterc.source.message import Attribute, Block, Line, Picture, Stand, line_attributes
from rasterc.source.pieces import Field, Piece, Word
from rasterc.source.quoting import name_of_field
from rasterc.source.tree import syntax as s

MAX_GAP = 1_000
_MOST_BARE = 100  # pieces of a line looked through for words without quotes

_Placed = TypeVar("_Placed", Line, Picture)


class Defaults(Struct, frozen=True):
    """What a message sets for all of its blocks and lines."""

    raster: int | None = None
    font: Word | None = None
    spacing: int = 0
    gap: int = 2


class _BlockOptions(Struct, frozen=True):
    gap: int | None = None
    stand: Stand = Stand.BOTTOM
    stand_span: Span | None = None


def block(node: s.BlockNode, first: bool, defaults: Defaults, scope: Scope) -> Block:
    """The block a node declares; ``first`` when no other block stands before it.

    Raises:
        InputError: it has a mistake that leaves no block.
    """
    options = apply_attributes(_BlockOptions(), node.words, node.span, _BLOCK, scope.problems)
    content = _content(node, defaults, scope)
    gap = options.gap if options.gap is not None else 0 if first else defaults.gap
    with scope.problems.catching():
        _check_stand(options, content)
    return Block(content, gap, node.span, options.stand)


def _check_stand(options: _BlockOptions, content: tuple[Line, ...] | Picture) -> None:
    """Refuse to make stand what is not alone in its block, or has a row; raises `InputError`."""
    alone = content if isinstance(content, Picture) else content[0] if len(content) == 1 else None
    if options.stand_span is None or content == ():
        return
    if alone is None:
        raise InputError.one(
            "stands-alone",
            "only what is alone in its block can be made to stand",
            options.stand_span,
            "several lines fill the raster from top to bottom; give each of them a row",
        )
    if alone.row is not None:
        message = f"the block stands on its {options.stand}, and its line has a row"
        raise InputError.one("conflicting-options", message, options.stand_span, "keep one of them")


def _content(node: s.BlockNode, defaults: Defaults, scope: Scope) -> tuple[Line, ...] | Picture:
    content = [item for item in node.content if not isinstance(item, s.SilenceNode)]
    pictures = [item for item in content if isinstance(item, s.PictureNode)]
    if pictures and len(content) == 1:
        return _picture(pictures[0], defaults, scope)
    if pictures:
        scope.problems.add(
            "mixed-block",
            "a block holds lines or one picture, not both",
            pictures[-1].span,
            "give the picture a block of its own",
        )
    if not content and scope.whole:
        place = Span(node.span.source, node.span.start, node.span.start + len("block"))
        raise InputError.one("empty", "this block is empty", place, "add a line or a picture")
    lines: list[Line] = []
    for item in content:
        with scope.problems.catching():
            if isinstance(item, s.SymbolNode):
                raise _needs_symbols(item)
            if isinstance(item, s.LineNode):
                lines.append(_line(item, defaults, scope))
    _refuse_mixed_rows(lines)
    return tuple(lines)


def _needs_symbols(node: s.SymbolNode) -> InputError:
    return InputError.one(
        "needs-extra",
        'two-dimensional symbols need the extra "symbols", which this release does not have yet',
        node.span.part(0, len("symbol")),
        "print the text in a line for now",
    )


def _refuse_mixed_rows(lines: Sequence[Line]) -> None:
    automatic = [line for line in lines if line.row is None]
    if automatic and len(automatic) < len(lines):
        raise InputError.one(
            "mixed-rows",
            "some lines of this block have a row and this one has none",
            automatic[0].span.part(0, len("line")),
            "write `row N` on every line of the block, or on none",
        )


def _line(node: s.LineNode, defaults: Defaults, scope: Scope) -> Line:
    font = defaults.font
    place = node.span.part(0, len("line"))
    start = Line(
        node.pieces,
        node.span,
        font.text if font else "",
        font.span if font else place,
        spacing=defaults.spacing,
    )
    line = apply_attributes(start, node.words, place, _handlers(Line), scope.problems)
    check_pieces(node.pieces, scope)
    with scope.problems.catching():
        _check_row(line.row, node.words, defaults)
    if not line.font and scope.whole and not any(w.text == "font" for w in node.words):
        raise InputError.one(
            "no-font",
            "this line has no font",
            place,
            "write it on the line, `line font upright-7 : ...`, or once for the message, "
            "`font upright-7`",
        )
    return line


def _check_row(row: int | None, words: Sequence[Word], defaults: Defaults) -> None:
    if row is not None and defaults.raster is not None and row >= defaults.raster:
        index = next(i for i, word in enumerate(words) if word.text == "row" and not word.quoted)
        raise InputError.one(
            "bad-row",
            f"raster {defaults.raster} has no row {row}",
            words[index + 1].span,
            f"rows count from 0 at the bottom to {defaults.raster - 1}",
        )


def _picture(node: s.PictureNode, defaults: Defaults, scope: Scope) -> Picture:
    start = Picture(node.path.text, node.span)
    picture = apply_attributes(
        start, node.words, node.path.span, _handlers(Picture), scope.problems
    )
    with scope.problems.catching():
        _check_row(picture.row, node.words, defaults)
    return picture


def check_pieces(pieces: Sequence[Piece], scope: Scope) -> None:
    """Report every field of a name that cannot be printed, unless it has been reported."""
    words = _bare_words(pieces, scope) if scope.complete else []
    if words:
        place = Span(words[0].span.source, words[0].span.start, words[-1].span.end)
        shown = place.text if len(place.text) <= 60 else f"{place.text[:57]}..."
        help = f'a text stands between double quotes: "{shown}"'
        scope.problems.add("unknown-name", f"{shown}: none of these is declared", place, help)
        scope.problems.undeclared.update(word.name for word in words)
    for piece in pieces:
        if isinstance(piece, Field) and piece.name not in scope.problems.undeclared:
            with scope.problems.catching():
                _check_field(piece, scope)


def _bare_words(pieces: Sequence[Piece], scope: Scope) -> list[Field]:
    """The first two or more words in a row that nothing declares: probably a text."""
    found: list[Field] = []
    for piece in pieces[:_MOST_BARE]:
        unknown = isinstance(piece, Field) and not piece.arguments and _is_unknown(piece, scope)
        if isinstance(piece, Field) and unknown:
            found.append(piece)
        elif len(found) > 1:
            break
        else:
            found = []
    return found if len(found) > 1 else []


def _is_unknown(field: Field, scope: Scope) -> bool:
    name = table_of(field.name)
    known = name in scope.nodes or name in scope.lost
    return not known and name not in scope.problems.undeclared


def _check_field(field: Field, scope: Scope) -> None:
    place = name_of_field(field.span)
    with scope.problems.catching():
        for column in filter(None, map(language_column, field.arguments)):
            check_text(column, scope)
    if "." in field.name:
        check_text(Word(field.name, place), scope)
        return
    node = scope.nodes.get(field.name)
    if is_from_file(node):
        raise InputError.one(
            "wrong-kind",
            f'"{field.name}" is a table of products; a column of it is printed',
            place,
            f"name the column: {field.name}.COLUMN",
        )
    if isinstance(node, s.TableNode):
        raise InputError.one(
            "wrong-kind",
            f'"{field.name}" is a table; it is looked up by a field and not printed itself',
            place,
            f"write it behind a field: NAME(table {field.name})",
        )
    scope.need(field.name, place, "clock", "shift", "counter", "input", "text", "check")


def _gap(options: _BlockOptions, reader: Reader) -> _BlockOptions:
    return structs.replace(options, gap=reader.number("the gap", 0, MAX_GAP))


def _stand(options: _BlockOptions, reader: Reader) -> _BlockOptions:
    place = reader.here
    return structs.replace(options, stand=Stand(reader.word(*Stand)), stand_span=place)


def _font(line: Line, reader: Reader) -> Line:
    font = reader.any("the name of a font")
    return structs.replace(line, font=font.text, font_span=font.span)


_BLOCK: dict[str, Handler[_BlockOptions]] = {"gap": _gap, "stand": _stand}


@cache
def _handlers(kind: type[_Placed]) -> dict[str, Handler[_Placed]]:
    """How each attribute of lines, or of pictures, is read."""
    found = {name: _handler(name, one) for name, one in line_attributes().items()}
    return {name: found[name] for name in kind.__struct_fields__ if name in found}


def _handler(name: str, attribute: Attribute) -> Handler[Any]:
    if name == "font":
        return _font
    if attribute.number is not None:
        number = attribute.number
        return lambda line, reader: structs.replace(line, **{name: reader.number(*number)})
    if attribute.choices is not None:
        choices = attribute.choices
        return lambda line, reader: structs.replace(line, **{name: choices(reader.word(*choices))})
    return lambda line, _: structs.replace(line, **{name: True})
