"""How far a piece of text reaches that does not fit, and what it was probably meant to be."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from difflib import get_close_matches

from rasterc.diagnostics import SourceText, Span

ODD_QUOTES = "‘’‚‹›“”„«»"
_ODD = ODD_QUOTES
_ODD_QUOTED = rf"(?:['{_ODD}][^'{_ODD}\"\r\n]*['{_ODD}]|[{_ODD}][^{_ODD}\"\r\n]*\")"
_CHUNK = re.compile(
    rf"{_ODD_QUOTED}"
    r'|"(?:[^"\\\r\n]|\\.)*"?|->|[<>]=?|[\w.+/-]+(?::[\w.]+)*|.|\Z',
    re.DOTALL,
)
_REST_OF_LINE = re.compile(r"[^\r\n]*")


def chunk(source: SourceText, start: int) -> Span:
    """The word, text or sign at an offset."""
    match = _CHUNK.match(source.text, start)
    return Span(source, start, match.end() if match else start)


def rest_of_line(source: SourceText, start: int) -> Span:
    """From an offset to the end of its line, blanks at the end left out."""
    match = _REST_OF_LINE.match(source.text, start)
    text = match[0].rstrip() if match else ""
    return Span(source, start, start + max(1, len(text)))


def is_odd_quoted(text: str) -> bool:
    """Whether this is a text between quotes of another kind."""
    return text.startswith(tuple(f"'{ODD_QUOTES}"))


def meant_by_sign(span: Span, can_come: frozenset[str], braces: int) -> str:
    """The terminal that a text which is none stands in for, or ""; ``braces`` are open."""
    text, line = span.source.text, rest_of_line(span.source, span.start)
    if is_odd_quoted(span.text) and "STRING" in can_come:
        return "STRING"
    behind = text[span.end : line.end]
    if "LBRACE" in can_come and (not behind.strip() or behind.count("}") > behind.count("{")):
        return "LBRACE"
    lacks_brace = text.count("}", span.end) - text.count("{", span.end) < braces
    return "RBRACE" if lacks_brace and not behind.strip() and "RBRACE" in can_come else ""


def end_of_unclosed(source: SourceText, start: int, braces: int) -> int:
    """Where a text without its second quote probably ends.

    At a quote of another kind, or at the end of its line, before braces of which ``braces`` may
    close what is open.
    """
    line = rest_of_line(source, start)
    text = line.text
    odd = re.search("[’”»]", text)
    if odd is not None:
        return line.start + odd.end()
    while braces and text.endswith("}") and len(text) > 1:
        text, braces = text[:-1].rstrip(), braces - 1
    return line.start + len(text)


def closed_after_line(source: SourceText, start: int) -> int:
    """How many braces the lines after the one of an offset close that they do not open."""
    end = rest_of_line(source, start).end
    return source.text.count("}", end) - source.text.count("{", end)


def unopened(source: SourceText, start: int) -> Span | None:
    """The words from an offset to a quote on its line that closes no text, or None."""
    line = _REST_OF_LINE.match(source.text, start)
    text = line[0] if line else ""
    quotes = [match.start() for match in re.finditer(r'(?<!\\)"', text)]
    if len(quotes) % 2 == 0 or not quotes[0] or re.search(r"[{}#:(]", text[: quotes[0]]):
        return None
    return Span(source, start, start + quotes[0] + 1)


def times(source: SourceText, start: int) -> Span:
    """What stands where a time of day belongs: all the numbers that follow one another."""
    match = re.compile(r"\d[\w:.]*(?:[ \t]+\d[\d:.]*)+").match(source.text, start)
    return Span(source, start, match.end()) if match else chunk(source, start)


def bare_words(source: SourceText, start: int) -> Span:
    """Words without quotes, up to the end of the line, a quote or a brace."""
    match = re.compile(r'[^"{}#\r\n]*[^"{}#\s]').match(source.text, start)
    return Span(source, start, match.end()) if match else chunk(source, start)


def is_invisible(character: str) -> bool:
    """Whether a character is seen neither as a sign nor as a blank."""
    return unicodedata.category(character) in ("Cc", "Cf", "Zl", "Zp")


def near_keyword(word: str, keywords: Iterable[str]) -> str:
    """The keyword a word was probably meant to be, or ""."""
    near = [k for k in keywords if len(k) > 2 or k[0] in word[:1].lower()]  # "mon" is not "on"
    found = get_close_matches(word.lower(), near, n=1, cutoff=0.7)
    return found[0] if found else ""
