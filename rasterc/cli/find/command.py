"""`rasterc find`: a code read off a pack back to the messages that could have printed it."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rasterc.cli import complete
from rasterc.cli.common import EXIT_FINDINGS, JsonOption, reporting
from rasterc.cli.pager import say_long
from rasterc.cli.plants import chosen_plant
from rasterc.cli.progress import working
from rasterc.cli.times import moment_from

if TYPE_CHECKING:
    from rasterc.plant import Plant
    from rasterc.search import Window

_DAY = "2027-11-25"


def find(
    texts: Annotated[
        list[str],
        typer.Argument(
            metavar="TEXT...",
            help="The lines of one code as read, those of a block top to bottom; ? for each "
            "character that could not be. Lines that were not read may be left out.",
            show_default=False,
        ),
    ],
    plant: Annotated[
        Path | None,
        typer.Option(
            "--plant",
            metavar="PATH",
            help="A plant file, or a folder; the plant of this folder, or the nearest above it, "
            "else all messages below this folder.",
            show_default=False,
        ),
    ] = None,
    line: Annotated[
        list[str] | None,
        typer.Option(
            "--line",
            metavar="NAME",
            help="Only messages that run on this line of the plant. May be repeated.",
            show_default=False,
            autocompletion=complete.lines,
        ),
    ] = None,
    between: Annotated[
        tuple[str, str] | None,
        typer.Option(
            "--between",
            metavar="FROM UNTIL",
            help="When it was printed: two dates, both included, or dates and times; from the "
            "first of January of five years ago for ten years when left out.",
            show_default=False,
        ),
    ] = None,
    part: Annotated[
        bool | None,
        typer.Option(
            "--part/--whole",
            help="The texts are parts of lines, or whole lines; when neither is said, parts only "
            "if no whole line is found.",
            show_default=False,
        ),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Say which messages of a plant could have printed a code.

    Exits with 1 when none could.
    """
    with reporting(as_json) as teller:
        from rasterc.search import find as found

        now, window = datetime.now(UTC), _window(between)
        with working() as doing:
            where = _plant(plant)
            result = found(where, texts, now, window, on=line or (), parts=part, progress=doing)
        if as_json:
            from rasterc.cli.documents.find import FindDocument
            from rasterc.cli.find.document import document

            teller.document(FindDocument, document(result, where.name, now))
        else:
            from rasterc.cli.find.report import report

            say_long(report(result, where, now))
        if not result.hits:
            raise typer.Exit(EXIT_FINDINGS)


def _plant(place: Path | None) -> Plant:
    """The plant that is named or that somebody stands in; else the messages below."""
    from rasterc.plant import find_plant, folder_plant

    if place is None and find_plant(Path()) is None:
        return folder_plant(Path())
    return chosen_plant(place)


def _window(between: tuple[str, str] | None) -> Window | None:
    """The time to search; a day that it ends with is included."""
    if between is None:
        return None
    first, last = map(moment_from, between)
    is_day = len(between[1].strip()) == len(_DAY) and last.date() < date.max
    return first, last + timedelta(days=1) if is_day else last
