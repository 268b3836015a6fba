"""Small builders: fonts, lines and messages without a source file."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from rasterc.diagnostics import SourceText, Span
from rasterc.fonts.model import Font, Glyph
from rasterc.source.message import Block, Line, Message, Picture
from rasterc.values.model import Instant, ResolvedBlock, ResolvedLine, ResolvedMessage, Run

# A 5-row font with one row under the baseline; art from the top row down.
ART = {
    "A": [".#.", "#.#", "###", "#.#", "..."],
    "L": ["#..", "#..", "#..", "###", "..."],
    "I": ["#", "#", "#", "#", "."],
    "Q": [".##.", "#..#", "#.##", ".###", "...#"],
    " ": ["..", "..", "..", "..", ".."],
    "@": ["######", "#....#", "#.####", "#.....", "######"],
    "\u200b": ["", "", "", "", ""],
}

Content = ResolvedLine | Picture


def _glyph(char: str, rows: list[str]) -> Glyph:
    columns = zip(*reversed(rows), strict=True)
    return Glyph(char, tuple(sum((c == "#") << r for r, c in enumerate(col)) for col in columns))


def _span(text: str, start: int = 0, end: int | None = None) -> Span:
    return Span(SourceText("test.msg", text), start, len(text) if end is None else end)


class Make:
    """Builders of everything the layout room reads."""

    @staticmethod
    def font(name: str = "tiny", art: dict[str, list[str]] = ART, spacing: int = 1) -> Font:
        """A font from art, one row of it below the baseline."""
        height = len(next(iter(art.values())))
        glyphs = {char: _glyph(char, rows) for char, rows in art.items()}
        return Font(name, height - 1, 1, spacing, glyphs)

    @staticmethod
    def full_font(name: str, height: int, chars: str = "AL") -> Font:
        """A font of full cells two strokes wide."""
        return Make.font(name, {char: ["##"] * height for char in chars})

    @staticmethod
    def line(*runs: str | tuple[str, str], font: str = "tiny", **options: Any) -> ResolvedLine:
        """A line of literal texts and (field name, text) pairs, each with its place."""
        named = [("", run) if isinstance(run, str) else run for run in runs]
        head = f"line font {font} :"
        written = [f" {name}" if name else f' "{text}"' for name, text in named]
        source = SourceText("test.msg", head + "".join(written))
        places, offset = [], len(head)
        for (name, text), word in zip(named, written, strict=True):
            places.append(Run(text, name, Span(source, offset + 1, offset + len(word))))
            offset += len(word)
        font_span = Span(source, 10, 10 + len(font))
        return ResolvedLine(
            Line((), Span(source, 0, offset), font, font_span, **options), tuple(places)
        )

    @staticmethod
    def picture(path: str, **options: Any) -> Picture:
        """A picture as a block's content."""
        return Picture(path, _span(f'picture "{path}"'), **options)

    @staticmethod
    def block(*content: Content, gap: int = 0) -> ResolvedBlock:
        """A block of lines, or of one picture."""
        if content and isinstance(content[0], Picture):
            return ResolvedBlock(Block(content[0], gap, _span("block { }")), content[0])
        lines = tuple(line for line in content if isinstance(line, ResolvedLine))
        return ResolvedBlock(
            Block(tuple(line.line for line in lines), gap, _span("block { }")), lines
        )

    @staticmethod
    def message(
        *blocks: ResolvedBlock | Content, raster: int = 5, folder: Path | str = "."
    ) -> ResolvedMessage:
        """A message of blocks; a line or picture alone is a block of its own."""
        whole = tuple(b if isinstance(b, ResolvedBlock) else Make.block(b) for b in blocks)
        span, none = _span("message test { }"), dict[str, Any]()
        message = Message(
            "test", raster, "en", None, none, none, none, none, none, none, none,
            tuple(b.block for b in whole), (), (), span, span, str(folder),
        )  # fmt: skip
        return ResolvedMessage(message, Instant(), whole)


@pytest.fixture(scope="session")
def make() -> Make:
    return Make()


@pytest.fixture(scope="session")
def tiny() -> dict[str, Font]:
    """The fonts most tests use."""
    return {"tiny": Make.font()}


@pytest.fixture(scope="session")
def art() -> Callable[[str], str]:
    """Expected art, written with blanks for the eye."""
    return lambda text: "\n".join(line.strip() for line in text.strip().splitlines())
