"""Characters a line cannot print."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator, Mapping

from rasterc.diagnostics import Diagnostic, Span
from rasterc.fonts.model import Font
from rasterc.layout.lines import LineSetter
from rasterc.values.model import ResolvedLine, Run


def missing_glyphs(
    line: ResolvedLine, font: Font, fonts: Mapping[str, Font]
) -> Iterator[Diagnostic]:
    """One diagnostic for each run with characters ``font`` lacks; names fonts that have them."""
    for run in line.runs:
        missing = font.missing(run.text)
        if missing:
            yield Diagnostic(
                "missing-glyph",
                f'font "{line.line.font}" cannot print {_named(missing)}{_printed_by(run)}',
                _place(run, missing),
                _remedy(missing, line.line.font, fonts),
            )


def tower_too_wide(line: ResolvedLine, setter: LineSetter) -> Iterator[Diagnostic]:
    """One diagnostic for each run with characters wider than a tower line is high."""
    for run in line.runs:
        wide = setter.too_wide(run.text)
        if wide:
            yield Diagnostic(
                "tower-too-wide",
                f'a tower of font "{line.line.font}" is {setter.rows} rows high, too few for '
                f"{_named(wide)}{_printed_by(run)}",
                _place(run, wide),
                f"leave it out, or use a glyph of at most {setter.rows} strokes",
            )


def _named(chars: Iterable[str]) -> str:
    return ", ".join(
        f'"{char}" (U+{ord(char):04X})' if char.isprintable() else _unprintable(char)
        for char in chars
    )


def _unprintable(char: str) -> str:
    name = unicodedata.name(char, "control character").lower()
    return f"{name} (U+{ord(char):04X})"


def _printed_by(run: Run) -> str:
    return f", which {run.name} prints here" if run.name else ""


def _place(run: Run, chars: tuple[str, ...]) -> Span:
    """The first of the characters when it stands in the source, else the whole run."""
    offset = run.span.text.find(chars[0]) if not run.name else -1
    return run.span if offset < 0 else run.span.part(offset, offset + 1)


def _remedy(missing: tuple[str, ...], name: str, fonts: Mapping[str, Font]) -> str:
    carriers = sorted(other for other, font in fonts.items() if not font.missing(missing))
    if carriers:
        return f"fonts that carry all of them: {', '.join(carriers)}"
    return f"add the glyphs to {name}, use other characters, or another font"
