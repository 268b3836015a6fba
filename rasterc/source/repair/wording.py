"""Syntax errors in the user's words: what was found and what was expected."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable

from rasterc.diagnostics import Diagnostic, SourceText, Span
from rasterc.source.repair.extents import ODD_QUOTES, chunk, is_odd_quoted, rest_of_line
from rasterc.source.tree.keywords import IN_BLOCK, KEYWORDS, SETTINGS

_IN_MESSAGE = (*(word for word in SETTINGS), "block", "require", "expect", "silence")

TOO_MANY = "too-many-errors"

InWords = Callable[[str], str]


def listed(alternatives: Iterable[str]) -> str:
    """``a, b or c``.

    >>> listed(['"{"', "a name"])
    '"{" or a name'
    """
    *first, last = sorted(alternatives)
    return f"{', '.join(first)} or {last}" if first else last


def expected(terminals: Iterable[str], in_words: InWords) -> str:
    """What can stand at a place, in words; statements are summed up when there are many."""
    if "COLON" in terminals:  # attributes can always go on; what is wanted is their end
        return in_words("COLON")
    statements = {name for name in terminals if name.lower() in KEYWORDS}
    others = set(terminals) - statements
    words = {in_words(name) for name in others}
    if len(statements) <= 3:
        words |= {in_words(name) for name in statements}
    elif not others - {"RBRACE", "$END"}:
        words.add("a statement")
    return listed(words or {"a statement"})


def shown(text: str) -> str:
    """A piece of the user's text for a message: quoted, shortened."""
    if not text.strip():
        return "the end of the line"
    short = text if len(text) <= 30 else text[:27] + "..."
    return f"the text {short}" if short.startswith('"') else f'"{short}"'


def unexpected(span: Span, terminals: Iterable[str], in_words: InWords) -> Diagnostic:
    """Something stands where it cannot."""
    found = span.text
    help = "comments begin with #" if span.source.text.startswith(("//", "/*"), span.start) else ""
    if is_odd_quoted(found):
        inner = found.strip(f"{ODD_QUOTES}'\"") if len(found) <= 60 else ""
        help = f'texts stand between straight double quotes: "{inner or "BEST BEFORE"}"'
    place = expected(terminals, in_words)
    return Diagnostic("syntax", f"expected {place}, but found {shown(found)}", span, help)


def unquoted(span: Span) -> Diagnostic:
    """A text without its quotes."""
    return Diagnostic(
        "syntax",
        f"expected a text in double quotes, but found {shown(span.text)}",
        span,
        f'write "{span.text}"',
    )


def missing(
    place: Span, following: Span, terminals: Iterable[str], in_words: InWords
) -> Diagnostic:
    """Something is left out before ``following``."""
    what = expected(terminals, in_words)
    message = f"expected {what} before {shown(following.text)}"
    return Diagnostic("syntax", message, place, _missing_help(set(terminals), following.text))


def _missing_help(terminals: set[str], following: str) -> str:
    word = following if len(following) <= 30 else "it"
    if terminals == {"COMMA"}:
        return f"options are separated by commas: put a comma before {word}"
    if terminals == {"SIGN"}:
        return f"write + {word} ... for later, - {word} ... for earlier"
    if terminals == {"NAME"} and re.fullmatch(r"\d{4}-\d{2}-\d{2}", following):
        return f"write: at {following}"
    if terminals == {"TIME"}:
        return "the time of day follows the date: 2028-02-29 05:59"
    if terminals == {"LBRACE"} and following.startswith('"'):
        return f"put braces around: {{ {word} }}"
    return ""


def superfluous(place: Span, terminals: Iterable[str], in_words: InWords) -> Diagnostic:
    """A separator where none belongs."""
    sign, can_come = place.text, set(terminals)
    help = f'leave out the "{sign}"'
    if {"STRING", "NAME", "RBRACE"} <= can_come and "NUMBER" not in can_come:
        help += ": texts and fields stand side by side, with blanks between them"
    elif can_come & {"COLON", "STRING"}:
        help += ": only blanks stand between these"
    wanted = expected(can_come, in_words)
    return Diagnostic("syntax", f'expected {wanted}, but found "{sign}"', place, help)


def bare_text(span: Span) -> Diagnostic:
    """A text or field directly in a block."""
    return Diagnostic(
        "syntax",
        f"{shown(span.text)} stands in a block, but belongs to no line",
        span,
        f"write: line: {span.text if len(span.text) <= 30 else '...'}",
    )


def no_time(span: Span, help: str) -> Diagnostic:
    """Something else where a time of day belongs."""
    message = f"expected a time like 06:00, but found {shown(span.text)}"
    return Diagnostic("syntax", message, span, help)


def no_step(span: Span) -> Diagnostic:
    """Something that is no step of a clock."""
    return Diagnostic(
        "syntax",
        f'expected "+", "-" or "to", but found {shown(span.text)}',
        span,
        "steps are written like + 9 months, - 1 day, to month end",
    )


def typo(span: Span, keyword: str) -> Diagnostic:
    """A keyword with a slip in it."""
    return Diagnostic(
        "unknown-word",
        f'"{span.text}" is not known here',
        span,
        f'did you mean "{keyword}"?',
    )


def reserved(span: Span) -> Diagnostic:
    """A keyword used as a name."""
    return Diagnostic(
        "reserved-word",
        f'"{span.text}" begins a statement and cannot be a name',
        span,
        f'choose another name, "{span.text}-1" or "my-{span.text}" for example',
    )


def misplaced(span: Span) -> Diagnostic:
    """A statement where there can be none of its kind."""
    word = span.text
    if word in IN_BLOCK:
        home = "inside a block: block { ... }"
    elif word in _IN_MESSAGE:
        home = "inside a message: message NAME { ... }"
    else:
        home = "outside messages, at the start of a line"
    return Diagnostic("misplaced", f'"{word}" belongs {home}', span, "is a { or } missing above?")


def stray_brace(span: Span) -> Diagnostic:
    """A closing brace too many."""
    return Diagnostic(
        "stray-brace", 'this "}" closes nothing', span, 'remove it, or add the "{" it belongs to'
    )


def unclosed_text(source: SourceText, start: int) -> Diagnostic:
    """A text without its second quote."""
    place = rest_of_line(source, start)
    odd = re.search("[’”»]", place.text)
    return Diagnostic(
        "unclosed-text",
        "the text that opens here is not closed on its line",
        place,
        f'end it with a straight ", not with {odd[0]}'
        if odd
        else 'end it with "; a quote inside a text is written \\"',
    )


def unopened_text(span: Span) -> Diagnostic:
    """A quote that closes a text which was not opened, as it seems."""
    odd = re.search(f"[{ODD_QUOTES}]", span.source.line_at(span.start))
    help = "a text begins and ends with a double quote: is one missing before it?"
    if odd is not None:
        help = f"quotes are straight: is the {odd[0]} on this line meant as one?"
    message = "the quote here has no partner on its line"
    return Diagnostic("unopened-text", message, span, help)


def doubled(span: Span) -> Diagnostic:
    """A word that stands twice."""
    return Diagnostic("syntax", f"{shown(span.text)} stands twice", span, "leave one out")


def invisible(span: Span) -> Diagnostic:
    """A character that nobody sees."""
    code = ord(span.text)
    name = unicodedata.name(span.text, "a control character").lower()
    message = f"there is a character here that cannot be seen: U+{code:04X}, {name}"
    return Diagnostic("invisible-character", message, span, "delete it, and type the line again")


def unclosed_parenthesis(source: SourceText, start: int) -> Diagnostic:
    """A parenthesis not closed on its line, or one holding an odd quote or parenthesis."""
    inner = rest_of_line(source, start).text[1:]
    close = inner.find(")")
    if close < 0:
        message = "the parenthesis that opens here is not closed on its line"
        help = "end the arguments with )"
    elif "(" in inner[:close]:
        message = "a parenthesis cannot stand inside another one"
        help = "to print one, put it between apostrophes: best('('MM')')"
    else:
        message = "a quote that opens in these parentheses is not closed"
        help = "apostrophes and double quotes come in pairs; '' prints an apostrophe"
    return Diagnostic("unclosed-parenthesis", message, chunk(source, start), help)


def unclosed_brace(source: SourceText, opener: str, line: int) -> Diagnostic:
    """The text ends inside braces."""
    end = len(source.text)
    return Diagnostic(
        "unclosed-brace",
        f'the text ends, but the "{{" of {opener} in line {line} is not closed',
        Span(source, end, end),
        'add the missing "}"',
    )


def early_end(source: SourceText, terminals: Iterable[str], in_words: InWords) -> Diagnostic:
    """The text ends inside a statement."""
    end = len(source.text)
    what = expected(terminals, in_words)
    return Diagnostic("syntax", f"the text ends where {what} is expected", Span(source, end, end))


def too_many(place: Span | None, limit: int) -> Diagnostic:
    """The end of the list."""
    return Diagnostic(
        TOO_MANY,
        f"there are more than {limit} mistakes; only the first are shown",
        place,
        "is this a message file?",
    )


def too_many_words(place: Span, limit: int) -> Diagnostic:
    """More words than any message needs."""
    return Diagnostic(
        "too-large",
        f"the text has more than {limit} words; the rest was not read",
        place,
        'split it into several files and take their declarations with `use "..."`',
    )
