"""A date pattern taken apart: letters, texts between quotes, all else."""

from __future__ import annotations

import re
from collections.abc import Iterator
from enum import StrEnum

from msgspec import Struct

from rasterc.values.dates.parts import Shows as Shows

WORD = re.compile(r"[^\W\d_]*")


class Kind(StrEnum):
    """What a token is."""

    LETTER = "letter"
    TEXT = "text"
    UNCLOSED = "unclosed"
    DOUBLE_QUOTED = "double-quoted"


class Token(Struct, frozen=True):
    """Characters ``start`` to ``end`` of a pattern, and the letters or text they stand for."""

    kind: Kind
    start: int
    end: int
    text: str


def tokens_of(raw: str) -> Iterator[Token]:
    """Runs of one letter and literal texts, in order."""
    at = 0
    while at < len(raw):
        token = _token(raw, at)
        yield token
        at = token.end


def _token(raw: str, at: int) -> Token:
    if raw[at] == "'":
        return _quoted(raw, at)
    if raw[at] == '"':
        end = raw.find('"', at + 1) + 1 or len(raw)
        return Token(Kind.DOUBLE_QUOTED, at, end, raw[at:end])
    end = at + 1
    while end < len(raw) and raw[end] == raw[at]:
        end += 1
    kind = Kind.LETTER if raw[at].isascii() and raw[at].isalpha() else Kind.TEXT
    return Token(kind, at, end, raw[at:end])


def _quoted(raw: str, start: int) -> Token:
    """Text between apostrophes; two in a row are an apostrophe, inside and outside."""
    if raw.startswith("''", start):
        return Token(Kind.TEXT, start, start + 2, "'")
    at, text = start + 1, ""
    while at < len(raw):
        if raw.startswith("''", at):
            text, at = text + "'", at + 2
        elif raw[at] == "'":
            return Token(Kind.TEXT, start, at + 1, text)
        else:
            text, at = text + raw[at], at + 1
    return Token(Kind.UNCLOSED, start, len(raw), text)
