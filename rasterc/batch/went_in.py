"""The hashes of all that goes into a job: what must be the same for it to go on, or to be made
again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from hashlib import sha256
from pathlib import Path
from typing import Any

import msgspec

import rasterc
from rasterc.batch.setup import Setup
from rasterc.diagnostics import SourceText, Span
from rasterc.files import stream_file
from rasterc.fonts.model import Font
from rasterc.profile.model import LineProfile

_PIECE = 1 << 20


def went_in(setup: Setup, rows: Path | None, asked: Mapping[str, Any]) -> dict[str, Any]:
    """What goes into a job, as plain values.

    Args:
        setup: the message, its fonts, pictures and line.
        rows: the file of rows, if there is one.
        asked: what else decides what is written.
    """
    texts = {id(text): text for text in _sources(setup.message)}.values()
    pictures = {name: _hash(repr(one).encode()) for name, one in setup.pictures.items()}
    return {
        "release": rasterc.__version__,
        "message": setup.message.name,
        "sources": dict(sorted((text.name, _hash(text.text.encode())) for text in texts)),
        "tables": {n: _hash(repr(one.rows).encode()) for n, one in setup.message.tables.items()},
        "fonts": {name: font_hash(font) for name, font in sorted(setup.fonts.items())},
        "pictures": dict(sorted(pictures.items())),
        "profile": None if setup.profile is None else profile_hash(setup.profile),
        "rows": None if rows is None else file_hash(rows),
        "asked": dict(asked),
    }


def _hash(data: bytes) -> str:
    return sha256(data).hexdigest()


def profile_hash(profile: LineProfile) -> str:
    """The hash of what a profile says."""
    return _hash(msgspec.json.encode(profile, order="sorted"))


def font_hash(font: Font) -> str:
    """The hash of what a font prints."""
    glyphs = sorted((char, glyph.columns) for char, glyph in font.glyphs.items())
    return _hash(repr((font.ascent, font.descent, font.spacing, glyphs)).encode())


def file_hash(path: Path) -> str:
    """The hash of a file, however large; raises `InputError`."""
    found = sha256()
    with stream_file(path, "the rows") as file:
        while piece := file.read(_PIECE):
            found.update(piece)
    return found.hexdigest()


def _sources(thing: Any) -> Iterator[SourceText]:
    """The texts that anything of a message was read from."""
    if isinstance(thing, Span):
        yield thing.source
    elif isinstance(thing, msgspec.Struct):
        for name in thing.__struct_fields__:
            yield from _sources(getattr(thing, name))
    elif isinstance(thing, Mapping):
        for value in thing.values():
            yield from _sources(value)
    elif isinstance(thing, tuple):
        for value in thing:
            yield from _sources(value)
