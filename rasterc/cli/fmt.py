"""`rasterc fmt`: message files in one canonical form."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, TypeAlias

import typer

from rasterc.cli.common import EXIT_FINDINGS, STANDARD_OUTPUT, JsonOption, reporting
from rasterc.cli.say import say
from rasterc.diagnostics import Diagnostic, InputError
from rasterc.files import write_file

Texts: TypeAlias = dict[Path, tuple[str, str]]
"""Each file's text before and after."""
STANDARD_INPUT = STANDARD_OUTPUT


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
    """Rewrite message files in one form, comments and line ends kept."""
    with reporting(as_json) as teller:
        texts = _formatted(files)
        changed = [path for path, (before, after) in texts.items() if before != after]
        writes = not check and not diff
        if writes:
            _write(texts, changed)
        if as_json:
            from rasterc.cli.documents.fmt import FmtDocument

            teller.document(FmtDocument, _document(texts, diff, writes))
        else:
            _say(texts, changed, check, diff)
        if (check or diff) and changed:
            raise typer.Exit(EXIT_FINDINGS)


def _say(texts: Texts, changed: Sequence[Path], check: bool, diff: bool) -> None:
    """What was done, or would be; of standard input, unless it is only looked at, its new text."""
    if diff:
        for path in changed:
            say(*_difference(path, *texts[path]))
        return
    if not check:
        if STANDARD_INPUT in texts:
            write_file(STANDARD_INPUT, texts[STANDARD_INPUT][1].encode())
        say(*(f"formatted {path}" for path in changed if path != STANDARD_INPUT))
    if STANDARD_INPUT not in texts:
        say(f"{len(changed)} of {len(texts)} files {'would change' if check else 'changed'}")


def _document(texts: Texts, diff: bool, written: bool) -> dict[str, object]:
    files = [
        {
            "file": str(path),
            "changed": before != after,
            "text": after if path == STANDARD_INPUT else None,
            "difference": _difference(path, before, after) if diff else None,
        }
        for path, (before, after) in texts.items()
    ]
    return {"files": files, "written": written}


def _formatted(files: list[Path]) -> Texts:
    """Each file's text before and after; the faults of all files are reported together."""
    from rasterc.source.formatting.format import format_text
    from rasterc.source.load import name_of, read_source

    texts: Texts = {}
    faults: list[Diagnostic] = []
    for path in dict.fromkeys(files):
        try:
            text = read_source(path).text
            formatted = format_text(text, name_of(path))
            texts[path] = text, formatted.replace("\n", _line_end(text))
        except InputError as error:
            faults += error.diagnostics
    if faults:
        raise InputError(faults)
    return texts


def _line_end(text: str) -> str:
    """What most lines of a text end with: a checkout may have CRLF, and it is no difference.

    >>> _line_end("a\\r\\nb\\r\\nc\\n"), _line_end("")
    ('\\r\\n', '\\n')
    """
    with_return = text.count("\r\n")
    return "\r\n" if with_return > text.count("\n") - with_return else "\n"


def _write(texts: Texts, changed: Sequence[Path]) -> None:
    from rasterc.files import rewrite_file

    for path in changed:
        if path != STANDARD_INPUT:
            rewrite_file(path, texts[path][1].encode())


def _difference(path: Path, before: str, after: str) -> list[str]:
    return list(
        difflib.unified_diff(
            before.splitlines(),
            after.splitlines(),
            f"{path} as it is",
            f"{path} in form",
            lineterm="",
        )
    )
