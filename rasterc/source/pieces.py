"""What lines and arguments are made of: words, literal texts, fields."""

from __future__ import annotations

from msgspec import Struct

from rasterc.diagnostics import Span


class Word(Struct, frozen=True):
    """A word, number or quoted text inside options and arguments.

    ``text`` is the value (escapes of a quoted text are resolved); ``quoted`` tells ``"upper"``
    from ``upper``.
    """

    text: str
    span: Span
    quoted: bool = False


class Argument(Struct, frozen=True):
    """One comma-separated part of a field's parentheses.

    ``raw`` is the part as written, outer blanks stripped (a date pattern is read from it);
    ``words`` is the same split into words (an option is read from them).
    """

    raw: str
    words: tuple[Word, ...]
    span: Span


class Literal(Struct, frozen=True):
    """Text printed as it stands. ``text`` has its escapes resolved."""

    text: str
    span: Span


class Field(Struct, frozen=True):
    """A declared name used in a line, with its arguments: ``best(MMM yyyy, upper)``."""

    name: str
    arguments: tuple[Argument, ...]
    span: Span


Piece = Literal | Field
