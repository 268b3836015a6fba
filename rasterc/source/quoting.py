r"""Quoted texts with their escapes, and the arguments in a field's parentheses.

Escapes: ``\"``, ``\\``, ``\u{E9}`` (a code point), ``\N{DEGREE SIGN}`` (a Unicode name).
"""

from __future__ import annotations

import re
import unicodedata

from rasterc.diagnostics import Diagnostic, Span
from rasterc.source.pieces import Argument, Word

_MAX_ARGUMENTS = 32
_MAX_PROBLEMS = 100  # more are never shown; a limit on memory
_ESCAPE = re.compile(r"\\(?:(?P<plain>[\"\\])|u\{(?P<code>[^{}]*)\}|N\{(?P<name>[^{}]*)\}|.?)")
_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]")
_QUOTED = r'"(?:[^"\\]|\\.)*"'
_NAME = re.compile(rf"[\w-]+(?:\.(?:{_QUOTED}|[\w-]+))?")
_PART = re.compile(rf"(?:{_QUOTED}|'[^']*'|[^,\"'])+")
_COLUMN = rf"[^\W\d][\w-]*\.{_QUOTED}"
_WORD = re.compile(rf"(?P<quoted>{_QUOTED})|(?P<column>{_COLUMN})|(?:'[^']*'|[^\s\"'])+")
_ESCAPES_HELP = r"known escapes: \" \\ \u{00E9} \N{DEGREE SIGN}; write a backslash itself as \\"


def composed(text: str) -> str:
    """``text`` in Unicode normal form C: one character for a letter with its accent."""
    return text if text.isascii() else unicodedata.normalize("NFC", text)


def quoted(text: str) -> str:
    """A text as it is written in a message: the inverse of `quoted_word`.

    >>> print(quoted('5" \\\\'))
    "5\\" \\\\"
    """
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


def quoted_word(span: Span, problems: list[Diagnostic]) -> Word:
    """The word of a quoted text, quotes included in ``span``; wrong escapes go to ``problems``."""
    inner = span.text[1:-1]
    _refuse_controls(inner, span, problems)
    if "\\" not in inner or len(problems) > _MAX_PROBLEMS:
        return Word(composed(inner), span, quoted=True)

    def replace(match: re.Match[str]) -> str:
        place = span.part(1 + match.start(), 1 + match.end())
        return _character(match, place, problems) if len(problems) <= _MAX_PROBLEMS else ""

    return Word(composed(_ESCAPE.sub(replace, inner)), span, quoted=True)


def column_word(span: Span, problems: list[Diagnostic]) -> Word:
    """The word of a table's column, ``products.name`` or ``products."Best before"``."""
    table, _, column = span.text.partition(".")
    if column.startswith('"'):
        column = quoted_word(span.part(len(table) + 1, len(span.text)), problems).text
    return Word(f"{table}.{column}", span)


def name_of_field(span: Span) -> Span:
    """The name at the start of a field, without its arguments."""
    match = _NAME.match(span.text)
    return span.part(0, match.end() if match else len(span.text))


def _refuse_controls(inner: str, span: Span, problems: list[Diagnostic]) -> None:
    match = _CONTROL.search(inner)
    if match is not None:
        problems.append(
            Diagnostic(
                "control-character",
                f"a text cannot hold the control character U+{ord(match[0]):04X}",
                span.part(1 + match.start(), 1 + match.end()),
                "use blanks instead of tabs, and one line for each printed line",
            )
        )


def _character(match: re.Match[str], place: Span, problems: list[Diagnostic]) -> str:
    """The character an escape stands for; "" and a problem when there is none."""
    if match["plain"]:
        return match["plain"]
    if match["code"] is not None:
        return _code_point(match["code"], place, problems)
    if match["name"] is not None:
        return _named(match["name"], place, problems)
    escape = match[0]
    if escape == r"\n":
        message, help = r"a printed line has no line break: \n", "write one line for each"
    else:
        message, help = f"{escape} is not an escape", _ESCAPES_HELP
    problems.append(Diagnostic("bad-escape", message, place, help))
    return ""


def _code_point(digits: str, place: Span, problems: list[Diagnostic]) -> str:
    if re.fullmatch(r"[0-9A-Fa-f]{1,6}", digits):
        number = int(digits, 16)
        surrogate = 0xD800 <= number <= 0xDFFF
        if number <= 0x10FFFF and not surrogate and not _CONTROL.match(chr(number)):
            return chr(number)
    problems.append(
        Diagnostic(
            "bad-escape",
            f"{place.text} is not a printable Unicode character",
            place,
            r"write its code point in 1 to 6 hexadecimal digits: \u{00E9}",
        )
    )
    return ""


def _named(name: str, place: Span, problems: list[Diagnostic]) -> str:
    try:
        found = unicodedata.lookup(name)
    except KeyError:
        found = ""
    if len(found) == 1 and not _CONTROL.match(found):
        return found
    problems.append(
        Diagnostic(
            "bad-escape",
            f"Unicode names no printable character {name!r}",
            place,
            r"take the name from the Unicode charts: \N{DEGREE SIGN}, or write \u{00B0}",
        )
    )
    return ""


def split_arguments(span: Span, problems: list[Diagnostic]) -> tuple[Argument, ...]:
    """The comma-separated parts of ``(...)``, parentheses included in ``span``.

    Commas between apostrophes or double quotes do not split.
    """
    inner = span.text[1:-1]
    if not inner.strip():
        return ()
    arguments: list[Argument] = []
    start = 0
    while True:
        match = _PART.match(inner, start)
        end = match.end() if match else start
        if len(arguments) == _MAX_ARGUMENTS:
            problems.append(_too_many_arguments(span.part(1 + start, 1 + end)))
            return tuple(arguments)
        arguments.append(_argument(span.part(1 + start, 1 + end), problems))
        if end >= len(inner):
            return tuple(arguments)
        start = end + 1


def _too_many_arguments(place: Span) -> Diagnostic:
    return Diagnostic(
        "too-large", f"a field takes at most {_MAX_ARGUMENTS} options", place, "leave some out"
    )


def _argument(span: Span, problems: list[Diagnostic]) -> Argument:
    text = span.text
    raw = text.strip()
    if not raw:
        problems.append(
            Diagnostic(
                "empty-argument",
                "there is nothing between the commas of these parentheses",
                span if text else Span(span.source, span.start, span.start + 1),
                "remove the comma, or write the pattern or option that is missing",
            )
        )
    lead = len(text) - len(text.lstrip())
    span = span.part(lead, lead + len(raw))
    words = tuple(_argument_word(match, span, problems) for match in _WORD.finditer(raw))
    return Argument(raw, words, span)


def _argument_word(match: re.Match[str], span: Span, problems: list[Diagnostic]) -> Word:
    place = span.part(match.start(), match.end())
    if match["column"]:
        return column_word(place, problems)
    return quoted_word(place, problems) if match["quoted"] else Word(match[0], place)
