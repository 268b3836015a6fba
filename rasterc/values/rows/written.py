"""A message with what one row of its product tables says written into it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TypeVar

from msgspec import Struct, structs

from rasterc.source.message import Block, Line, Message, Picture
from rasterc.source.pieces import Argument, Field, Piece, Word
from rasterc.source.times import Clock, Offset, Step

Cells = Mapping[str, str]
"""The text of each column that something depends on, by its name: "products.life"."""

NO_CELLS: Cells = {}
_Named = TypeVar("_Named", bound=Struct)


def depends_on(message: Message) -> tuple[str, ...]:
    """The columns that a message's dates depend on: shelf lives and languages."""
    lives = (
        step.column
        for clock in message.clocks.values()
        for step in clock.steps
        if isinstance(step, Offset) and step.column is not None
    )
    return tuple(dict.fromkeys((*lives, *languages_of(message))))


def languages_of(message: Message) -> tuple[str, ...]:
    """The columns that fields take their language from."""
    words = (
        _language(argument)
        for pieces in _all_pieces(message)
        for piece in pieces
        if isinstance(piece, Field)
        for argument in piece.arguments
    )
    return tuple(dict.fromkeys(word.text for word in words if word is not None))


def _all_pieces(message: Message) -> Iterator[Sequence[Piece]]:
    yield from (line.pieces for line in message.lines)
    yield from (text.pieces for text in message.texts.values())
    yield from (check.pieces for check in message.checks.values())


def _language(argument: Argument) -> Word | None:
    """The column that ``in products.language`` names."""
    words = argument.words
    column = len(words) == 2 and words[0].text == "in" and "." in words[1].text
    return words[1] if column and not (words[0].quoted or words[1].quoted) else None


def written(message: Message, cells: Cells) -> Message:
    """The message with these cells written in; what they do not tell is 0 days, and English."""
    return structs.replace(
        message,
        clocks={name: _clock(clock, cells) for name, clock in message.clocks.items()},
        blocks=tuple(_block(block, cells) for block in message.blocks),
        texts={name: _with_pieces(text, cells) for name, text in message.texts.items()},
        checks={name: _with_pieces(check, cells) for name, check in message.checks.items()},
    )


def _clock(clock: Clock, cells: Cells) -> Clock:
    return structs.replace(clock, steps=tuple(_step(step, cells) for step in clock.steps))


def _step(step: Step, cells: Cells) -> Step:
    if not isinstance(step, Offset) or step.column is None:
        return step
    return structs.replace(step, amount=step.amount * int(cells.get(step.column, 0)), column=None)


def _block(block: Block, cells: Cells) -> Block:
    if isinstance(block.content, Picture):
        return block
    lines: tuple[Line, ...] = tuple(_with_pieces(line, cells) for line in block.content)
    return structs.replace(block, content=lines)


def _with_pieces(named: _Named, cells: Cells) -> _Named:
    pieces: Sequence[Piece] = getattr(named, "pieces")  # noqa: B009 - of any record that has some
    return structs.replace(named, pieces=tuple(_piece(piece, cells) for piece in pieces))


def _piece(piece: Piece, cells: Cells) -> Piece:
    if not isinstance(piece, Field) or not any(map(_language, piece.arguments)):
        return piece
    return structs.replace(piece, arguments=tuple(_argument(a, cells) for a in piece.arguments))


def _argument(argument: Argument, cells: Cells) -> Argument:
    word = _language(argument)
    if word is None:
        return argument
    language = structs.replace(word, text=cells.get(word.text, "en"))
    return structs.replace(argument, words=(argument.words[0], language))
