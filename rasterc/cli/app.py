"""The program: its commands."""

from __future__ import annotations

from typing import Annotated

import typer

import rasterc
from rasterc.cli import (
    colour,
    compile,
    explain,
    extremes,
    fly,
    fmt,
    jet,
    pager,
    reading,
    repeats,
    show,
    trace,
)
from rasterc.cli.check.command import check
from rasterc.cli.diff.command import diff
from rasterc.cli.exits import IN_WORDS
from rasterc.cli.font.command import app as fonts
from rasterc.cli.say import say

app = typer.Typer(
    name="rasterc",
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help=(
        "From what a product must carry to the drops a continuous inkjet coder prints.\n\n"
        f"Exit codes: {IN_WORDS}. Heads work at kilovolts and with flammable "
        "ink: this tool looks at codes, it does not replace local law or licensed practice."
    ),
)
app.command("show")(show.show)
app.command("compile")(compile.compile_message)
app.command("check")(check)
app.command("extremes")(extremes.extremes)
app.command("repeats")(repeats.repeats)
app.command("trace")(trace.trace)
app.command("diff")(diff)
app.command("reading")(reading.reading)
app.command("fly")(fly.fly)
app.command("jet")(jet.jet)
app.command("fmt")(fmt.fmt)
app.command("explain")(explain.explain)
app.add_typer(fonts, name="font")


def _version(wanted: bool) -> None:
    if wanted:
        say(f"rasterc {rasterc.__version__}")
        raise typer.Exit


@app.callback()
def options(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version.")
    ] = False,
    debug: Annotated[
        bool, typer.Option("--debug", help="Show where a fault of ours lies; with any command.")
    ] = False,  # for the help: the edge takes it off before the command is looked for
    color: Annotated[
        colour.When,
        typer.Option("--color", help="When to colour; auto: on a terminal. With any command."),
    ] = colour.When.AUTO,
    no_pager: Annotated[
        bool, typer.Option("--no-pager", help="Page no long reports; with any command.")
    ] = False,
) -> None:
    """Options of every command."""
    del version, debug
    colour.wanted.set(color)
    pager.wanted.set(not no_pager)
