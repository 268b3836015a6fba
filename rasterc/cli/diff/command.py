"""`rasterc diff`: what two versions of a message print differently, and when."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from rasterc.cli.common import (
    EXIT_FINDINGS,
    FontsOption,
    JsonOption,
    MessageOption,
    ProfileOption,
    SetOption,
    reporting,
)
from rasterc.cli.pager import say_long
from rasterc.cli.stretch import STRETCHES, FromOption, YearsOption, stretch
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
            help="Draw both versions, the old one above, at the first difference (PNG).",
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
        from rasterc.cli.diff.compared import codes_of, compare
        from rasterc.cli.diff.report import document, report, write_picture
        from rasterc.profile.load import load_profile

        check_outputs([out])
        when = stretch("diff", since, years)
        line_profile = load_profile(profile) if profile else None
        codes = codes_of((old, new), fonts or (), message)
        found = compare(codes, settings or (), when.start, when.years)
        if out is not None:
            write_picture(found, out, line_profile)
        if as_json:
            from rasterc.cli.documents.diff import DiffDocument

            teller.document(DiffDocument, document(found))
        else:
            say_long(report(found, line_profile, out))
        if not found.same:
            raise typer.Exit(EXIT_FINDINGS)
