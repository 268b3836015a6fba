"""Outputs that may be standard output, "-", where a name tells no kind and --format does."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from pathlib import Path
from typing import Annotated

import typer

from rasterc.cli.common import STANDARD_OUTPUT
from rasterc.diagnostics import Diagnostic
from rasterc.files import write_file

PipedOption = Annotated[
    str | None,
    typer.Option(
        "--format",
        metavar="KIND",
        help="The kind of what --out - prints on standard output.",
        show_default=False,
    ),
]


def suffix_of(path: Path, kind: str | None) -> str:
    """The suffix that tells what to write: ``kind`` is that of standard output.

    >>> suffix_of(Path("-"), "png"), suffix_of(Path("map.SVG"), "png")
    ('.png', '.svg')
    """
    return f".{kind}" if kind and path == STANDARD_OUTPUT else path.suffix.lower()


def write_all(paths: Sequence[Path], kind: str | None, encode: Callable[[str], bytes]) -> list[str]:
    """Write each file whole, as ``encode`` makes it of its suffix; their names.

    Raises:
        InputError: one cannot be written.
    """
    # all are made before the first is written: a missing package leaves no half of them
    made = [(path, encode(suffix_of(path, kind))) for path in paths]
    for path, data in made:
        write_file(path, data)
    return [str(path) for path, _ in made]


def misfits(
    out: Collection[Path], kind: str | None, known: Collection[str], as_json: bool
) -> Iterator[Diagnostic]:
    """What keeps outputs from being written, said before the work and not after.

    Args:
        known: the suffixes that can be written.
    """
    if kind is not None and STANDARD_OUTPUT not in out:
        help = "give --out - for standard output"
        yield Diagnostic("bad-option", f"--format {kind} goes with --out -", help=help)
    yield from printed_twice(out, as_json)
    for path in out:
        if suffix_of(path, kind) not in known:
            yield _unknown(path, kind, " ".join(known))


def printed_twice(out: Collection[Path | None], as_json: bool) -> Iterator[Diagnostic]:
    """The fault of a document and an output that are both to be standard output."""
    if as_json and STANDARD_OUTPUT in out:
        said = "--json and --out - both print on standard output"
        yield Diagnostic("two-choices", said, help="give one of them, or --out FILE")


def _unknown(path: Path, kind: str | None, known: str) -> Diagnostic:
    if path != STANDARD_OUTPUT:
        said = f"{path} does not end in a suffix that can be written here"
        return Diagnostic("unknown-suffix", said, help=f"known: {known}")
    if kind is None:
        said = "standard output has no name to tell the kind of file"
        return Diagnostic("unknown-suffix", said, help=f"--format says it, one of {known}")
    said = f'"{kind}" is no kind of file that can be written here'
    return Diagnostic("unknown-kind", said, help=f"known: {known}")
