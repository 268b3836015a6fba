"""Reading a font file of any supported format; its suffix says which."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from rasterc.diagnostics import InputError, SourceText
from rasterc.files import read_file
from rasterc.fonts.bdf import parse_bdf
from rasterc.fonts.bitmap import FontFile

MAX_FONT_BYTES = 16 << 20  # also after decompression
MAX_ART_BYTES = 1 << 20
FONT_SUFFIXES = (".bdf", ".bdf.gz", ".pcf", ".pcf.gz", ".txt")
KEPT_FONTS = 32
MAX_KEPT_BYTES = 1 << 20
"""Fonts are kept in memory when they are read, so many and so large: many messages share them."""
OUTLINE_SUFFIXES = (".ttf", ".otf", ".ttc", ".otc")


def font_suffix(path: Path) -> str:
    """The suffix that says the format, in lower case: ".bdf", ".pcf.gz"; "" without one.

    >>> font_suffix(Path("fixed.v2.PCF.gz"))
    '.pcf.gz'
    """
    suffixes = [suffix.lower() for suffix in path.suffixes]
    return "".join(suffixes[-2:]) if suffixes[-1:] == [".gz"] else "".join(suffixes[-1:])


def load_font(path: Path, charset: str | None = None) -> FontFile:
    """Read a dot font: BDF, PCF (either compressed by gzip or not) or glyph art.

    A BDF or PCF font is called by its file name without suffix, glyph art by its own name.

    Raises:
        InputError: the file cannot be read or is not a font; with every fault found in it.
    """
    if str(path) == "-":
        return _from_standard_input(path, charset)
    suffix = font_suffix(path)
    name = path.name[: len(path.name) - len(suffix)]
    if suffix in OUTLINE_SUFFIXES:
        raise InputError.one(
            "outline-font",
            f"{path} is an outline font; a message needs drops",
            help=f"make a dot font of it: rasterc font import {path.name} "
            f"--height 9 --out {name}-9.bdf",
        )
    if suffix not in FONT_SUFFIXES:
        known = ", ".join(FONT_SUFFIXES)
        raise InputError.one(
            "unknown-font-format", f"{path} has no suffix of a font", help=f"known: {known}"
        )
    return _parsed(read_font_bytes(path), suffix, name, str(path), charset)


def _from_standard_input(path: Path, charset: str | None) -> FontFile:
    """The font of standard input: its first bytes tell what it is."""
    data = read_font_bytes(path)
    starts = {b"STARTFONT": ".bdf", b"\x01fcp": ".pcf"}
    kinds = (kind for start, kind in starts.items() if data.startswith(start))
    return _parsed(data, next(kinds, ".txt"), "stdin", "<stdin>", charset)


def _parsed(data: bytes, suffix: str, name: str, origin: str, charset: str | None) -> FontFile:
    """The font that the bytes of a file with that suffix hold."""
    parse = _kept if len(data) <= MAX_KEPT_BYTES else _parse
    return parse(data, suffix, name, origin, charset)


@lru_cache(KEPT_FONTS)
def _kept(data: bytes, suffix: str, name: str, origin: str, charset: str | None) -> FontFile:
    return _parse(data, suffix, name, origin, charset)


def _parse(data: bytes, suffix: str, name: str, origin: str, charset: str | None) -> FontFile:
    if suffix.startswith(".pcf"):
        from rasterc.fonts.pcf import parse_pcf

        return parse_pcf(data, name, origin, charset)
    source = SourceText(origin, data.decode("utf-8-sig", errors="replace"))
    if suffix == ".txt":
        from rasterc.fonts.art import parse_art

        if len(data) > MAX_ART_BYTES:
            raise _too_large(origin, MAX_ART_BYTES)
        return FontFile(parse_art(source))
    return parse_bdf(source, name, charset)


def read_font_bytes(path: Path) -> bytes:
    """The bytes of a font file, decompressed if its name ends in ".gz".

    Raises:
        InputError: it is not there, cannot be read, is damaged or too large.
    """
    data = read_file(path, MAX_FONT_BYTES, "the font")
    if path.suffix.lower() == ".gz":
        data = _unpacked(data, path)
    if len(data) > MAX_FONT_BYTES:
        raise _too_large(path, MAX_FONT_BYTES)
    return data


def _unpacked(data: bytes, path: Path) -> bytes:
    """The data decompressed, as far as one byte over the limit."""
    import gzip
    import io
    import zlib

    try:
        with gzip.open(io.BytesIO(data)) as unpacked:
            return unpacked.read(MAX_FONT_BYTES + 1)
    except (EOFError, zlib.error, gzip.BadGzipFile):
        raise InputError.one("damaged-font", f"{path} cannot be unpacked: it is damaged") from None


def _too_large(path: Path | str, limit: int) -> InputError:
    return InputError.one("too-large", f"the font {path} is larger than {limit >> 20} MiB")
