"""Strokes to a file whose suffix tells the kind."""

from __future__ import annotations

from pathlib import Path

from rasterc.diagnostics import InputError
from rasterc.files import write_file
from rasterc.layout.model import Strokes
from rasterc.output.code.geometry import Drawing
from rasterc.output.code.kinds import KINDS, kind_named
from rasterc.values.model import ResolvedMessage


def encode_strokes(
    kind: str,
    strokes: Strokes,
    drawing: Drawing | None = None,
    resolved: ResolvedMessage | None = None,
) -> bytes:
    """The bytes of a file of ``kind``, one of `KINDS`. Same arguments, same bytes.

    ``resolved`` adds texts and instant to JSON; the other kinds have no place for them.

    Raises:
        InputError: an unknown kind, a PNG over the pixel limit, a PBM of no strokes.
    """
    if kind not in KINDS:
        raise _unknown(kind)
    return kind_named(kind).render(strokes, drawing or Drawing(), resolved)


def write_strokes(
    path: Path,
    strokes: Strokes,
    drawing: Drawing | None = None,
    resolved: ResolvedMessage | None = None,
    kind: str | None = None,
) -> None:
    """Write a whole file, or to standard output for "-"; see `kind_of` and `encode_strokes`.

    Raises:
        InputError: a file that cannot be written, and all of `kind_of` and `encode_strokes`.
    """
    write_file(path, encode_strokes(kind_of(path, kind), strokes, drawing, resolved))


def kind_of(path: Path, kind: str | None = None) -> str:
    """The kind of file to write: the one that is named, else the one the suffix tells.

    Raises:
        InputError: an unknown kind or suffix, or none.
    """
    if kind is not None:
        if kind not in KINDS:
            raise _unknown(kind)
        return kind
    told = path.suffix.lower().removeprefix(".")
    if told in KINDS:
        return told
    if str(path) == "-":
        said, help = "standard output has no name to tell the kind of file", "--format says it"
        raise InputError.one("unknown-suffix", said, help=f"{help}: {', '.join(KINDS)}")
    suffix = f'"{path.suffix}"' if path.suffix else "no suffix"
    raise InputError.one(
        "unknown-suffix",
        f"{path} has {suffix}, which tells no kind of file",
        help=f"end its name with .{', .'.join(KINDS)}, or give --format",
    )


def _unknown(kind: str) -> InputError:
    said = f'"{kind}" is no kind of file strokes can be written to'
    return InputError.one("unknown-kind", said, help=f"known: {', '.join(KINDS)}")
