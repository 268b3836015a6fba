"""`rasterc watch`: show and check again whenever a file changes."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from datetime import datetime
from itertools import count
from pathlib import Path
from typing import Annotated

import typer

from rasterc.cli.common import (
    AtOption,
    FontsOption,
    JsonOption,
    MessageOption,
    ProfileOption,
    SetOption,
    reporting,
)
from rasterc.cli.plants import found_plant
from rasterc.cli.say import Teller
from rasterc.cli.watch.looks import Look, Options, is_of_plant, look_at
from rasterc.cli.watch.screen import begin, fill
from rasterc.cli.watch.waiting import check_watching, wait_for_change
from rasterc.files.answers import Noted, noting
from rasterc.inspection.kept import files_of


def watch(
    place: Annotated[
        Path | None,
        typer.Argument(
            metavar="[FILE or PLANT]",
            help="A message file, a plant file or a folder; the plant of this folder, or the "
            "nearest above it, when left out.",
            show_default=False,
        ),
    ] = None,
    at: AtOption = None,
    settings: SetOption = None,
    profile: ProfileOption = None,
    message: MessageOption = None,
    fonts: FontsOption = None,
    everything: Annotated[
        bool, typer.Option("--all", help="Check at every edge, as rasterc check --all.")
    ] = False,
    rounds: Annotated[
        int | None,
        typer.Option(
            "--rounds",
            metavar="N",
            min=1,
            help="End after so many looks; only Ctrl-C ends it when left out.",
            show_default=False,
        ),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Show and check again whenever a file changes.

    What a message uses, its fonts, pictures and tables, its profile and the plant file are watched
    too. Each look fills the screen of a terminal, and no more. Ctrl-C ends it.
    """
    options = Options(at, tuple(settings or ()), profile, message, tuple(fonts or ()), everything)
    with reporting(as_json) as teller:
        check_watching()
        if is_of_plant(place) and place is None:
            found_plant()
    changed: tuple[str, ...] = ()
    for number in count(1):
        begin(changed)
        with noting() as noted:
            look = look_at(place, options, changed)
        _tell(look, number, changed, noted, teller)
        if number == rounds:
            return
        changed = wait_for_change(noted)


def _tell(look: Look, number: int, changed: Sequence[str], noted: Noted, teller: Teller) -> None:
    now = datetime.now().astimezone()
    if teller.as_json:
        from rasterc.cli.documents.watch import WatchDocument

        values = {
            "round": number,
            "at": now.isoformat(timespec="seconds"),
            "changed": list(changed),
            "watched": len(files_of(noted)),
            "exit_code": look.code,
            "lines": [line for part in look.parts for line in part.lines],
        }
        teller.document(WatchDocument, values)
        sys.stdout.flush()
        return
    what = f"{', '.join(map(os.path.relpath, changed))} changed" if changed else "first look"
    files = f"{len(files_of(noted))} files watched"
    fill(f"{now:%H:%M:%S}  {what}; {files}, Ctrl-C ends", look.parts)
