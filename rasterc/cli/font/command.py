"""`rasterc font`: look at dot fonts, check them, bring them in and out."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
from msgspec import structs

from rasterc.cli import complete
from rasterc.cli.common import (
    EXIT_FINDINGS,
    STANDARD_OUTPUT,
    FontsOption,
    JsonOption,
    MessageOption,
    reporting,
)
from rasterc.cli.font.shown import document, facts, print_specimen, said, write_picture
from rasterc.cli.piped import PipedOption, misfits, suffix_of
from rasterc.cli.say import say
from rasterc.diagnostics import InputError, fail_on_errors
from rasterc.files import check_outputs, write_file

if TYPE_CHECKING:
    from rasterc.fonts.bitmap import FontFile
    from rasterc.fonts.library import FontBook
    from rasterc.fonts.model import Font

app = typer.Typer(
    help="Show, check, import and export dot fonts.",
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
)

FontName = Annotated[
    str,
    typer.Argument(
        metavar="FONT",
        help="A font's name, or a font file (.bdf .pcf .txt, also .bdf.gz and .pcf.gz); - is "
        "standard input.",
        show_default=False,
        autocompletion=complete.fonts,
    ),
]
CharsOption = Annotated[
    str | None,
    typer.Option("--chars", metavar="TEXT", help="Only these characters.", show_default=False),
]
_HERE = Path()
IMPORTED = (".bdf", ".txt")
EXPORTED = (*IMPORTED, ".png")
ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz"


@app.command("show")
def show(
    font: FontName,
    text: Annotated[
        str | None,
        typer.Option("--text", help="Set this text instead of a specimen.", show_default=False),
    ] = None,
    chars: CharsOption = None,
    out: Annotated[
        Path | None,
        typer.Option(
            "--out",
            metavar="FILE.png",
            help="Write a picture; - is standard output.",
            show_default=False,
        ),
    ] = None,
    fonts: FontsOption = None,
    as_json: JsonOption = False,
) -> None:
    """Show a font's glyphs, or a text set in it."""
    with reporting(as_json) as teller:
        if text is not None and chars is not None:
            raise InputError.one("two-choices", "give --text or --chars, not both")
        if out == STANDARD_OUTPUT:
            fail_on_errors([*misfits([out], "png", EXPORTED, as_json)])
        check_outputs([out])
        found = _find(font, _book(fonts))
        if out is not None:
            write_picture(found, text, chars, out)
        if as_json:
            from rasterc.cli.documents.font import FontShowDocument

            file = None if out is None else str(out)
            teller.document(FontShowDocument, {**document(found, text, chars), "file": file})
        elif out is not None:
            say(*[f"wrote {out}"] * (out != STANDARD_OUTPUT))
        else:
            print_specimen(found, text, chars)


@app.command("import")
def import_font(
    source: Annotated[
        Path,
        typer.Argument(
            help="A font file: BDF, PCF (also .gz), glyph art (.txt), or an outline font "
            "(.ttf .otf); - is standard input.",
            show_default=False,
        ),
    ],
    out: Annotated[
        Path,
        typer.Option(
            "--out",
            metavar="FILE",
            help="Write .bdf or .txt; - is standard output.",
            show_default=False,
        ),
    ],
    kind: PipedOption = None,
    height: Annotated[
        int | None,
        typer.Option(
            "--height", metavar="ROWS", help="Rows of a cell; outline fonts.", show_default=False
        ),
    ] = None,
    chars: CharsOption = None,
    charset: Annotated[
        str | None,
        typer.Option(
            "--charset",
            metavar="NAME",
            help="Character set of the file's codes when it does not say (iso8859-2, unicode).",
            show_default=False,
        ),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Bring a font in as BDF or glyph art.

    It is then called as the file written.
    """
    with reporting(as_json) as teller:
        from rasterc.cli.documents.font import FontImportDocument

        fail_on_errors([*misfits([out], kind, IMPORTED, as_json)])
        check_outputs([out])
        read = _read(source, height, chars, charset)
        written = _write_font(read.font, out, suffix_of(out, kind))
        teller.note(*read.notes)
        said(teller, FontImportDocument, written, out)


@app.command("export")
def export(
    font: FontName,
    out: Annotated[
        Path,
        typer.Option(
            "--out",
            metavar="FILE",
            help="Its suffix decides: .bdf, .txt (glyph art) or .png (specimen sheet); - is "
            "standard output.",
            show_default=False,
        ),
    ],
    kind: PipedOption = None,
    chars: CharsOption = None,
    fonts: FontsOption = None,
    as_json: JsonOption = False,
) -> None:
    """Write a font as BDF, glyph art or specimen sheet."""
    with reporting(as_json) as teller:
        from rasterc.cli.documents.font import FontExportDocument

        fail_on_errors([*misfits([out], kind, EXPORTED, as_json)])
        check_outputs([out])
        found = _find(font, _book(fonts))
        if suffix_of(out, kind) == ".png":
            write_picture(found, None, chars, out)
        else:
            found = _write_font(_only(found, chars), out, suffix_of(out, kind))
        said(teller, FontExportDocument, found, out)


@app.command("audit")
def audit(
    font: FontName,
    file: Annotated[
        Path | None,
        typer.Argument(
            metavar="[MESSAGE-FILE]", help="Check the font against a message.", show_default=False
        ),
    ] = None,
    pairs: Annotated[
        int, typer.Option("--pairs", min=0, help="How many of the closest pairs to list.")
    ] = 10,
    chars: Annotated[
        str | None,
        typer.Option(
            "--chars",
            metavar="TEXT",
            help="Characters to compare; digits and letters A-Z, a-z when left out.",
            show_default=False,
        ),
    ] = None,
    message: MessageOption = None,
    fonts: FontsOption = None,
    as_json: JsonOption = False,
) -> None:
    """Tell what a font lacks, and what looks most alike.

    What it lacks is told for a message, when one is given. Exits with 1 when characters are
    missing.
    """
    with reporting(as_json) as teller:
        from rasterc.cli.documents.font import FontAuditDocument
        from rasterc.cli.font.audit import Needs, audit_document, audit_lines, needs_of
        from rasterc.fonts.audit import look_alikes

        book = _book(fonts, _HERE if file is None else file.parent)
        found = _find(font, book)
        needs = Needs() if file is None else needs_of(found, font, file, message, book)
        closest = look_alikes(found, ALPHABET if chars is None else chars)[:pairs]
        if as_json:
            teller.document(FontAuditDocument, audit_document(found, needs, closest))
        else:
            say(f"{found.name}: {facts(found)}", *audit_lines(needs, closest, file))
    if needs.lacking:
        raise typer.Exit(EXIT_FINDINGS)


def _book(folders: Sequence[Path] | None, beside: Path = _HERE) -> FontBook:
    from rasterc.fonts.library import FontBook

    return FontBook.beside(beside, folders or ())


def _find(name: str, book: FontBook) -> Font:
    """The font the user named on the command line: a file of any place, or a name."""
    from rasterc.fonts.load import FONT_SUFFIXES, OUTLINE_SUFFIXES, font_suffix, load_font

    path = Path(name)
    if name == "-" or font_suffix(path) in (*FONT_SUFFIXES, *OUTLINE_SUFFIXES):
        return load_font(path).font
    return book.find(name)


def _read(source: Path, height: int | None, chars: str | None, charset: str | None) -> FontFile:
    """The font of a file, outline fonts drawn on ``height`` rows."""
    from rasterc.fonts.load import OUTLINE_SUFFIXES, font_suffix, load_font
    from rasterc.fonts.outline import load_outline

    if font_suffix(source) in OUTLINE_SUFFIXES:
        if height is None:
            raise InputError.one(
                "no-height", f"{source} is an outline font", help="say how many rows: --height 9"
            )
        return load_outline(source, source.stem, height, chars)
    if height is not None:
        raise InputError.one("height-not-used", f"--height is for outline fonts; {source} is none")
    read = load_font(source, charset)
    return structs.replace(read, font=_only(read.font, chars))


def _only(font: Font, chars: str | None) -> Font:
    """The font with the characters asked for."""
    from rasterc.output.fonts.specimen import chosen_glyphs

    if chars is None:
        return font
    return structs.replace(font, glyphs={glyph.char: glyph for glyph in chosen_glyphs(font, chars)})


def _write_font(font: Font, out: Path, suffix: str) -> Font:
    """Write the font, called as the file if it has a name, in the format of the suffix."""
    from rasterc.fonts.art import format_art
    from rasterc.fonts.bdf_write import format_bdf

    write = {".bdf": format_bdf, ".txt": format_art}[suffix]
    name = font.name if out == STANDARD_OUTPUT else out.stem
    renamed = structs.replace(font, name=name, origin=str(out))
    write_file(out, write(renamed).encode(errors="replace"))
    return renamed
