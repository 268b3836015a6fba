"""All that the program says goes through here.

What is said comes in lines: names, texts and options in it may hold anything, so whatever could act
on a terminal, a line break too, is shown escaped. Nothing else of the program prints.
"""

from __future__ import annotations

import json
import re
import sys
from typing import TYPE_CHECKING, Any, TextIO

from rasterc.cli.colour import has_colour, painted
from rasterc.diagnostics import Diagnostic, visible

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from rasterc.cli.documents.common import Document


class CannotPrintError(Exception):
    """Standard output takes no more; says why, or nothing when its reader just went away."""


class Teller:
    """What one command says, as text or as one JSON document."""

    def __init__(self, as_json: bool) -> None:
        self.as_json = as_json
        self._noted: list[Diagnostic] = []

    def note(self, *diagnostics: Diagnostic) -> None:
        """Say something beside the answer: at once on standard error, or in the document."""
        if self.as_json:
            self._noted += diagnostics
        else:
            tell(*(line for one in diagnostics for line in one.lines()))

    def document(self, of: type[Document], values: Mapping[str, Any]) -> None:
        """Print the answer as JSON, with all that was noted."""
        found = [one.as_dict() for one in self._noted]
        given = values.get("diagnostics", ())
        say_document(of, {**values, "diagnostics": [*given, *found]})

    def refuse(self, *diagnostics: Diagnostic) -> None:
        """Say why there is no answer."""
        if not self.as_json:
            self.note(*diagnostics)
            return
        from rasterc.cli.documents.common import Refusal

        self.document(Refusal, {"diagnostics": [one.as_dict() for one in diagnostics]})


def say(*lines: str) -> None:
    """Lines on standard output; raises `CannotPrintError`."""
    say_text(on_standard_output(lines))


def say_now(*lines: str) -> None:
    """Lines that are seen at once, by whoever reads them: more will come only later."""
    say(*lines)
    try:
        if sys.stdout is not None:
            sys.stdout.flush()
    except BrokenPipeError:
        raise CannotPrintError from None
    except OSError as error:
        raise CannotPrintError(error.strerror) from None


def on_standard_output(lines: Iterable[str]) -> str:
    """Lines as they are shown there."""
    return _shown(lines, sys.stdout)


def tell(*lines: str) -> None:
    """Lines on standard error."""
    tell_text(_shown(lines, sys.stderr))


def _shown(lines: Iterable[str], stream: TextIO | None) -> str:
    seen = map(visible, lines)
    return "".join(f"{line}\n" for line in (map(painted, seen) if has_colour(stream) else seen))


def say_text(text: str) -> None:
    """Text as it is on standard output: only what was made for other programs."""
    if sys.stdout is None:
        raise CannotPrintError("it is closed")
    try:
        sys.stdout.write(text)
    except BrokenPipeError:
        raise CannotPrintError from None
    except OSError as error:
        raise CannotPrintError(error.strerror) from None


def tell_text(text: str) -> None:
    """Text as it is on standard error: only what this program makes up itself."""
    if sys.stderr is not None:
        try:
            sys.stderr.write(text)
            sys.stderr.flush()
        except OSError:
            pass  # there is nowhere left to say so


def say_document(of: type[Document], values: Mapping[str, Any]) -> None:
    """Print one JSON document; what does not fit its type is a fault of ours."""
    say_text(encoded(of, values))


def encoded(of: type[Document], values: Mapping[str, Any]) -> str:
    """The JSON text of a document.

    NaN and infinity are not JSON and are never written: a ValueError, a fault of ours. Characters
    that act on terminals are escaped, what is no character (a file name that is not UTF-8) becomes
    U+FFFD.
    """
    from msgspec import convert, to_builtins

    whole = to_builtins(convert(values, of))
    text = json.dumps(whole, ensure_ascii=False, allow_nan=False, indent=2)
    return _NOT_ASCII.sub(_escaped, text) + "\n"


_NOT_ASCII = re.compile("[^\x00-\x7e]")


def _escaped(found: re.Match[str]) -> str:
    char = found[0]
    if "\ud800" <= char <= "\udfff":
        return "\ufffd"
    return char if visible(char) == char else json.dumps(char)[1:-1]
