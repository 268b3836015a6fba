"""What `rasterc font` shows: specimens, texts and facts."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import TYPE_CHECKING

from rasterc.cli.common import STANDARD_OUTPUT
from rasterc.cli.say import say
from rasterc.diagnostics import InputError
from rasterc.files import write_file

if TYPE_CHECKING:
    from rasterc.cli.documents.common import Document
    from rasterc.cli.say import Teller
    from rasterc.fonts.model import Font


def write_picture(font: Font, text: str | None, chars: str | None, out: Path) -> None:
    """Draw a text, or a specimen, into a PNG file; raises `InputError` for another suffix."""
    from rasterc.output.fonts.specimen import chosen_glyphs, specimen_png, text_png

    if out != STANDARD_OUTPUT and out.suffix.lower() != ".png":
        raise InputError.one(
            "unknown-picture-format",
            f"a picture cannot be written as {out.name}",
            help="give it the suffix .png",
        )
    drawn = (
        text_png(font, text) if text is not None else specimen_png(font, chosen_glyphs(font, chars))
    )
    write_file(out, drawn)


def print_specimen(font: Font, text: str | None, chars: str | None) -> None:
    """Show a text, or a specimen, in the terminal."""
    from rasterc.output.fonts.specimen import chosen_glyphs, specimen_text, text_art

    width = shutil.get_terminal_size().columns
    if text is not None:
        say(*text_art(font, text, width).split("\n"))
        return
    specimen = specimen_text(font, chosen_glyphs(font, chars), width)
    say(f"{font.name}: {facts(font)}", "", *specimen.split("\n"))


def document(font: Font, text: str | None, chars: str | None) -> dict[str, object]:
    """A font, its glyphs or a text set in it, as plain JSON values."""
    from rasterc.output.fonts.document import font_summary, glyph_documents, text_document
    from rasterc.output.fonts.specimen import chosen_glyphs

    glyphs = [] if text is not None else glyph_documents(font, chosen_glyphs(font, chars))
    return {
        "font": font_summary(font),
        "glyphs": glyphs,
        "set": None if text is None else text_document(font, text),
    }


def facts(font: Font) -> str:
    """The sizes of a font in words."""
    return (
        f"{font.height} rows ({font.ascent} above the baseline, {font.descent} below), "
        f"spacing {font.spacing}, {len(font.glyphs)} glyphs"
    )


def said(teller: Teller, of: type[Document], font: Font, out: Path) -> None:
    """Say which font was written."""
    from rasterc.output.fonts.document import font_summary

    if teller.as_json:
        teller.document(of, {"font": font_summary(font), "file": str(out)})
    elif out != STANDARD_OUTPUT:
        say(f"wrote {out}: {facts(font)}")
