"""`rasterc diff`: what two versions of a message print differently, and when."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from rasterc.cli.common import (
    EXIT_FINDINGS,
    STANDARD_OUTPUT,
    FontsOption,
    JsonOption,
    MessageOption,
    ProfileOption,
    SetOption,
    reporting,
)
from rasterc.cli.pager import say_long
from rasterc.cli.piped import printed_twice
from rasterc.cli.stretch import STRETCHES, FromOption, YearsOption, stretch
from rasterc.diagnostics import InputError, fail_on_errors
from rasterc.files import check_outputs


def diff(
    old: Annotated[Path, typer.Argument(help="A message file.", show_default=False)],
    new: Annotated[Path, typer.Argument(help="Its other version.", show_default=False)],
    since: FromOption = None,
    years: YearsOption = STRETCHES["diff"].years,
    settings: SetOption = None,
    profile: ProfileOption = None,
    out: Annotated[
        Path | None,
        typer.Option(
            "--out",
            metavar="FILE",
            help="Draw both versions, the old one above, at the first difference (PNG); - "
            "is standard output, which then holds nothing else.",
            show_default=False,
        ),
    ] = None,
    message: MessageOption = None,
    fonts: FontsOption = None,
    as_json: JsonOption = False,
) -> None:
    """Tell what two versions print differently, and when.

    Exits with 1 when they do.
    """
    with reporting(as_json) as teller:
        from rasterc.cli.diff.compared import codes_of, compare, matched
        from rasterc.cli.diff.report import document, report, write_picture
        from rasterc.profile.load import load_profile

        _check_picture(out, as_json)
        when = stretch("diff", since, years)
        line_profile = load_profile(profile) if profile else None
        codes = codes_of((old, new), fonts or (), message)
        if out is not None:
            _check_one([code.message.name for code, _ in matched(*codes)], out)
        found = compare(codes, settings or (), when.start, when.years)
        if out is not None:
            write_picture(found, out, line_profile)
        if as_json:
            from rasterc.cli.documents.diff import DiffDocument

            teller.document(DiffDocument, document(found))
        elif out != STANDARD_OUTPUT:
            say_long(report(found, line_profile, out))
        if not found.same:
            raise typer.Exit(EXIT_FINDINGS)


def _check_picture(out: Path | None, as_json: bool) -> None:
    """Refuse, before the work, a picture that cannot be meant or written; raises `InputError`."""
    fail_on_errors([*printed_twice([out], as_json)])
    if out not in (None, STANDARD_OUTPUT) and out.suffix.lower() != ".png":
        help = "give it a name that ends in .png"
        raise InputError.one("unknown-suffix", f"{out} is no PNG file", help=help)
    check_outputs([out])


def _check_one(names: Sequence[str], out: Path) -> None:
    """Refuse a picture of several messages, or of none; raises `InputError`."""
    if len(names) != 1:
        help = f"use --message: {', '.join(names) or 'none'}"
        raise InputError.one("several-messages", f"{out} can hold one message", help=help)
