"""`rasterc fmt`: message files in one canonical form."""

from __future__ import annotations

import difflib
import sys
from pathlib import Path
from typing import Annotated

import typer

from rasterc.cli.common import EXIT_FINDINGS, JsonOption, print_json, reporting
from rasterc.diagnostics import Diagnostic, InputError


def fmt(
    files: Annotated[list[Path], typer.Argument(help="Message files, or - for standard input.")],
    check: Annotated[
        bool, typer.Option("--check", help="Write nothing; exit 1 if a file is not in form.")
    ] = False,
    diff: Annotated[
        bool, typer.Option("--diff", help="Write nothing; show what would change.")
    ] = False,
    as_json: JsonOption = False,
) -> None:
    """Rewrite message files in one form, comments kept."""
    with reporting(as_json):
        texts = _formatted(files)
        changed = [path for path, (before, after) in texts.items() if before != after]
        if diff and not as_json:
            for path in changed:
                sys.stdout.writelines(_difference(path, *texts[path]))
        elif not check and not diff:
            _write(texts, changed, quiet=as_json)
        if as_json:
            print_json({"changed": [str(path) for path in changed], "files": len(texts)})
        elif not diff and Path("-") not in texts:
            word = "would change" if check else "changed"
            print(f"{len(changed)} of {len(texts)} files {word}")
        if (check or diff) and changed:
            raise typer.Exit(EXIT_FINDINGS)


def _formatted(files: list[Path]) -> dict[Path, tuple[str, str]]:
    """Each file's text before and after; the faults of all files are reported together."""
    from rasterc.source.format import format_text
    from rasterc.source.load import read_source

    texts: dict[Path, tuple[str, str]] = {}
    faults: list[Diagnostic] = []
    for path in dict.fromkeys(files):
        try:
            text = read_source(path).text
            texts[path] = text, format_text(text, str(path))
        except InputError as error:
            faults += error.diagnostics
    if faults:
        raise InputError(faults)
    return texts


def _write(texts: dict[Path, tuple[str, str]], changed: list[Path], quiet: bool) -> None:
    from rasterc.files import rewrite_file, write_file

    for path, (_, after) in texts.items():
        if path == Path("-"):
            write_file(path, after.encode())
        elif path in changed:
            rewrite_file(path, after.encode())
            if not quiet:
                print(f"formatted {path}")


def _difference(path: Path, before: str, after: str) -> list[str]:
    return list(
        difflib.unified_diff(
            before.splitlines(keepends=True),
            after.splitlines(keepends=True),
            f"{path} as it is",
            f"{path} in form",
        )
    )
