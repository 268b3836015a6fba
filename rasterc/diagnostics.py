"""What is wrong with the user's input, said as a value: where, what, and what to do about it.

Mistakes of the user are `Diagnostic` values, collected so that all of them can be reported at
once. `InputError` carries them across a stage that cannot go on. Any other exception is a bug.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from difflib import get_close_matches
from enum import StrEnum
from unicodedata import category

from msgspec import Struct


def visible(text: str) -> str:
    """Text with all that could act on a terminal, or cannot be seen, as escapes.

    Names, texts and options may hold anything: a line break could forge a line of a report, an
    escape sequence clear the screen, a bidirectional control turn what stands behind it round.

    >>> visible("a\\x1b[31m\\n\\u202eb c")
    'a\\\\x1b[31m\\\\n\\\\u202eb c'
    """
    if text.isprintable():
        return text
    return "".join(c if c.isprintable() or category(c) == "Zs" else _escape(c) for c in text)


def _escape(char: str) -> str:
    return char.encode("unicode_escape").decode("ascii")


class Severity(StrEnum):
    """How bad a diagnostic or a finding is."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"


class SourceText(Struct, frozen=True):
    """A file's name as the user knows it, and its text. Built once per file."""

    name: str
    text: str

    def __repr__(self) -> str:
        """Its name."""
        return f"<SourceText {self.name}>"

    def line_column(self, offset: int) -> tuple[int, int]:
        """Line and column of a character offset, both counted from 1."""
        offset = max(0, min(offset, len(self.text)))
        line = self.text.count("\n", 0, offset) + 1
        return line, offset - (self.text.rfind("\n", 0, offset) + 1) + 1

    def line_at(self, offset: int) -> str:
        """The line a character offset lies in, without its end."""
        start = self.text.rfind("\n", 0, offset) + 1
        end = self.text.find("\n", start)
        return self.text[start : end if end >= 0 else len(self.text)].rstrip("\r")


class Span(Struct, frozen=True):
    """The characters ``start`` (included) to ``end`` (excluded) of a source text."""

    source: SourceText
    start: int
    end: int

    def __repr__(self) -> str:
        """The place and the first characters."""
        shown = self.text if len(self.text) <= 20 else f"{self.text[:17]}..."
        return f"<Span {self.source.name}:{self.line}:{self.column} {shown!r}>"

    @property
    def text(self) -> str:
        """The characters themselves."""
        return self.source.text[self.start : self.end]

    @property
    def line(self) -> int:
        """Line of the first character, from 1."""
        return self.source.line_column(self.start)[0]

    @property
    def column(self) -> int:
        """Column of the first character, from 1."""
        return self.source.line_column(self.start)[1]

    def part(self, start: int, end: int) -> Span:
        """A span inside this one, by offsets from its start."""
        return Span(self.source, self.start + start, self.start + end)


class Diagnostic(Struct, frozen=True):
    """One thing wrong with the input.

    Attributes:
        code: what kind of mistake, in words ("unknown-name").
        message: what is wrong, in the user's words; one sentence, no full stop needed.
        span: the place, or None when the input has no text (a command-line option, say).
        help: what to do about it; empty when the message says it all.
        severity: error unless said otherwise.
    """

    code: str
    message: str
    span: Span | None = None
    help: str = ""
    severity: Severity = Severity.ERROR

    def __repr__(self) -> str:
        """Its first line."""
        return f"<Diagnostic {visible(self.lines()[0])}>"

    def __str__(self) -> str:
        """As a terminal shows it."""
        return self.render()

    def lines(self) -> list[str]:
        """The diagnostic in lines: file, line, column, the line itself and a caret."""
        head = f"{self.severity}[{self.code}]: {self.message}"
        out = [head if self.span is None else f"{self._place()}: {head}"]
        if self.span is not None:
            out += self._excerpt(self.span)
        if self.help:
            out.append(f"  help: {self.help}")
        return out

    def render(self) -> str:
        """The diagnostic for a terminal: its lines, with nothing in them that acts on it."""
        return "\n".join(map(visible, self.lines()))

    def as_dict(self) -> dict[str, object]:
        """The diagnostic as plain JSON values; without a place, that is None."""
        span = self.span
        return {
            "severity": str(self.severity),
            "code": self.code,
            "message": self.message,
            "help": self.help,
            "file": span.source.name if span else None,
            "line": span.line if span else None,
            "column": span.column if span else None,
            "text": span.text if span else None,
        }

    def _place(self) -> str:
        assert self.span is not None
        return f"{self.span.source.name}:{self.span.line}:{self.span.column}"

    @staticmethod
    def _excerpt(span: Span) -> list[str]:
        line_number, column = span.source.line_column(span.start)
        text = span.source.line_at(span.start)
        first, width = column - 1, max(1, min(span.end - span.start, len(text) - column + 1))
        if len(text) > 96:  # a long line: show the part around the place
            cut = max(0, first - 40)
            text, first = text[cut : cut + 96], first - cut
            width = max(1, min(width, 96 - first))
        shown = "".join(c if c.isprintable() else " " for c in text)  # keeps the caret in place
        gutter = f"{line_number:>5} | "
        return [gutter + shown, " " * (len(gutter) - 2) + "| " + " " * first + "^" * width]


class InputError(Exception):
    """The input cannot be used; says everything that was found wrong with it.

    What it says may be worked out later, when it is asked for.
    """

    def __init__(self, diagnostics: Iterable[Diagnostic] | Callable[[], Diagnostic]) -> None:
        self._found = diagnostics if callable(diagnostics) else tuple(diagnostics)
        super().__init__(self._found)

    @property
    def diagnostics(self) -> tuple[Diagnostic, ...]:
        """All that was found."""
        if callable(self._found):
            self._found = (self._found(),)
        return self._found

    def __str__(self) -> str:
        return "\n".join(d.render() for d in self.diagnostics)

    @classmethod
    def one(cls, code: str, message: str, span: Span | None = None, help: str = "") -> InputError:
        """An error with a single diagnostic."""
        return cls([Diagnostic(code, message, span, help)])


def fail_on_errors(diagnostics: Sequence[Diagnostic]) -> None:
    """Raise `InputError` with all diagnostics if one of them is an error."""
    if any(d.severity is Severity.ERROR for d in diagnostics):
        raise InputError(diagnostics)


def did_you_mean(name: str, known: Iterable[str]) -> str:
    """A help text naming the nearest known name, or the known names, or nothing.

    >>> did_you_mean("packd", ["packed", "best"])
    'did you mean "packed"?'
    >>> did_you_mean("x", ["packed", "best"])
    'known: best, packed'
    """
    names = sorted(set(known))
    near = get_close_matches(name, names, n=1, cutoff=0.6)
    if near:
        return f'did you mean "{near[0]}"?'
    if not names:
        return ""
    listed = ", ".join(names[:12]) + (", ..." if len(names) > 12 else "")
    return f"known: {listed}"
