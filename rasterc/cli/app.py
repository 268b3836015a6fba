"""The program: its commands, and what happens when its output is cut off."""

from __future__ import annotations

import os
import sys
from typing import Annotated

import typer

import rasterc
from rasterc.cli import (
    check,
    compile,
    diff,
    explain,
    extremes,
    fly,
    fmt,
    font,
    reading,
    repeats,
    show,
    trace,
)
from rasterc.cli.common import EXIT_BAD_INPUT

app = typer.Typer(
    name="rasterc",
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help=(
        "From what a product must carry to the drops a continuous inkjet coder prints.\n\n"
        "Exit codes: 0 fine, 1 findings, 2 bad input. Heads work at kilovolts and with flammable "
        "ink: this tool looks at codes, it does not replace local law or licensed practice."
    ),
)
app.command("show")(show.show)
app.command("compile")(compile.compile_message)
app.command("check")(check.check)
app.command("extremes")(extremes.extremes)
app.command("repeats")(repeats.repeats)
app.command("trace")(trace.trace)
app.command("diff")(diff.diff)
app.command("reading")(reading.reading)
app.command("fly")(fly.fly)
app.command("fmt")(fmt.fmt)
app.command("explain")(explain.explain)
app.add_typer(font.app, name="font")


def _version(wanted: bool) -> None:
    if wanted:
        print(f"rasterc {rasterc.__version__}")
        raise typer.Exit


@app.callback()
def options(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version.")
    ] = False,
) -> None:
    """Options before the command."""


def run() -> None:
    """Run the program; a closed pipe ends it quietly, an output that is full with one line."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        try:
            app()
        finally:
            if sys.stdout is not None:
                sys.stdout.flush()  # here, where a failure can still be reported
    except BrokenPipeError:
        _give_up_output()
        sys.exit(EXIT_BAD_INPUT)
    except OSError as error:
        if error.filename is not None:  # not of the output, so a bug
            raise
        _give_up_output()
        said = f"error[cannot-write]: cannot write to standard output: {error.strerror}"
        print(said, file=sys.stderr)
        sys.exit(EXIT_BAD_INPUT)


def _give_up_output() -> None:
    """Let what is left of the output go nowhere, so that Python does not fail on it at its end."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
