"""`rasterc list`: the messages of a plant, and what is ahead of them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rasterc.cli import complete
from rasterc.cli.common import EXIT_BAD_INPUT, STANDARD_OUTPUT, JsonOption, reporting
from rasterc.cli.list.known import known_of_plant
from rasterc.cli.list.rows import Order, Row, chosen, row_of, summary, table, years_of
from rasterc.cli.plants import PlantArgument, chosen_plant
from rasterc.cli.progress import progress
from rasterc.cli.say import say
from rasterc.diagnostics import InputError, did_you_mean
from rasterc.files import check_outputs, write_file
from rasterc.search.listing import Asked, list_plant
from rasterc.search.states import Known, State

if TYPE_CHECKING:
    from rasterc.plant import Plant


def list_messages(
    plant: PlantArgument = None,
    lines: Annotated[
        list[str] | None,
        typer.Option(
            "--line",
            metavar="NAME",
            help="Only what runs on this line; repeatable.",
            autocompletion=complete.lines,
        ),
    ] = None,
    states: Annotated[
        list[State] | None,
        typer.Option("--state", help="Only what is in this state; repeatable."),
    ] = None,
    order: Annotated[Order, typer.Option("--sort", help="What to sort by.")] = Order.PLANT,
    at: Annotated[
        str | None,
        typer.Option(
            "--at",
            metavar="TIME",
            help='The moment to print at and to look ahead from, such as "2027-11-25 14:05"; when '
            "left out each is printed at its moment in the plant file, and looked ahead from now.",
            show_default=False,
        ),
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option(
            "--out",
            metavar="FILE",
            help="Write an HTML file that needs nothing else; - prints it.",
            show_default=False,
        ),
    ] = None,
    workers: Annotated[
        int | None,
        typer.Option(
            "--workers",
            metavar="N",
            min=1,
            max=256,
            help="Processes that work; one for each processor when there are many files.",
            show_default=False,
        ),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """List the messages of a plant, and what is ahead of them.

    Each on each line that it runs on, with its raster, its length on the product, what the last
    check found, and the next day on which it ends or a counter starts again. Nothing is checked.

    Exit code 2 when a message cannot be read or printed; it is listed as broken.
    """
    with reporting(as_json) as teller:
        _check_out(out, as_json)
        read = chosen_plant(plant)
        _refuse_unknown_lines(read, lines or ())
        rows = chosen(_rows(read, at, workers), lines or (), states or (), order)
        broken = [row for row in rows if row.state is State.BROKEN]
        teller.note(*dict.fromkeys(fault for row in broken for fault in row.listed.faults))
        if out is not None:
            write_file(out, _page(read, rows).encode())
        if as_json:
            from rasterc.cli.documents.listing import ListDocument
            from rasterc.cli.list.document import document

            teller.document(ListDocument, document(read, rows))
        elif out is None:
            say(*table(rows), "", summary(rows), f"looked ahead {years_of(read)}")
        elif out != STANDARD_OUTPUT:
            say(f"wrote {out}")
        if broken:
            raise typer.Exit(EXIT_BAD_INPUT)


def _check_out(out: Path | None, as_json: bool) -> None:
    """Refuse a file that cannot be meant or written; raises `InputError`."""
    if out is None:
        return
    if out == STANDARD_OUTPUT and as_json:
        said = "--json and --out - both print on standard output"
        raise InputError.one("two-choices", said, help="name a file for --out")
    if out != STANDARD_OUTPUT and out.suffix.lower() not in (".html", ".htm"):
        said = f"--out {out} does not end in .html"
        raise InputError.one("bad-option", said, help="a list is written as one HTML file")
    check_outputs([out])


def _refuse_unknown_lines(plant: Plant, names: Sequence[str]) -> None:
    known = [line.name for line in plant.lines]
    for name in names:
        if name not in known:
            help = did_you_mean(name, known) or "the plant has no lines"
            raise InputError.one("unknown-line", f'there is no line "{name}"', help=help)


def _rows(plant: Plant, at: str | None, workers: int | None) -> list[Row]:
    """All rows, in the order of the plant."""
    from rasterc.moments import parse_when

    when = None if at is None else parse_when(at)
    asked = Asked(datetime.now(UTC).replace(microsecond=0), when, plant.defaults)
    with progress("files", len(plant.files)) as shown:
        listed = list_plant(plant, asked, workers, shown.step if shown else None)
    known = known_of_plant(plant, at)
    return [
        row_of(one, known.get((str(one.file), one.line, one.message), Known())) for one in listed
    ]


def _page(plant: Plant, rows: Sequence[Row]) -> str:
    from rasterc.cli.list.entries import entry_of
    from rasterc.output.lists.page import render_page

    return render_page(plant.name, summary(rows), [entry_of(plant, row) for row in rows])
