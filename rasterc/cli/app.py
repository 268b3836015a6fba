"""The program: its commands.

A command's module is imported when the command is asked for: none of them waits for the others.
"""

from __future__ import annotations

import ast
import importlib
import importlib.util
from collections.abc import Iterator, Mapping
from importlib.abc import InspectLoader
from typing import Annotated, Any

import typer
from typer.core import TyperGroup

import rasterc
from rasterc.cli import colour, pager
from rasterc.cli.exits import IN_WORDS
from rasterc.cli.say import say

COMMANDS = {
    "show": "show.show",
    "compile": "compile.compile_message",
    "batch": "batch.command.batch",
    "check": "check.command.check",
    "extremes": "extremes.extremes",
    "repeats": "repeats.repeats",
    "trace": "trace.trace",
    "find": "find.command.find",
    "diff": "diff.command.diff",
    "reading": "reading.reading",
    "fly": "fly.command.fly",
    "jet": "jet.command.jet",
    "list": "list.command.list_messages",
    "watch": "watch.command.watch",
    "ledger": "ledger.command.app",
    "fmt": "fmt.fmt",
    "page": "page.page",
    "explain": "explain.explain",
    "cache": "cache.cache",
    "font": "font.command.app",
}
"""Where each command is found, in the order of the help."""


class _Commands(Mapping[str, Any]):
    """The commands by name, each made when it is looked up."""

    def __getitem__(self, name: str) -> Any:
        found = _found(name)
        return typer.main.get_command(found if isinstance(found, typer.Typer) else _alone(found))

    def __iter__(self) -> Iterator[str]:
        return iter(COMMANDS)

    def __len__(self) -> int:
        return len(COMMANDS)


def _found(name: str) -> Any:
    """A command's function, or the program of several commands."""
    module, _, function = COMMANDS[name].rpartition(".")
    return getattr(importlib.import_module(f"rasterc.cli.{module}"), function)


def _summary(name: str) -> str:
    """The first line of what a command says of itself, read without importing it."""
    module, _, function = COMMANDS[name].rpartition(".")
    for statement in ast.parse(_source(f"rasterc.cli.{module}")).body:
        match statement:
            case ast.FunctionDef(name=known) if known == function:
                return (ast.get_docstring(statement) or "").partition("\n")[0]
            case ast.Assign(targets=[ast.Name(id=known)], value=ast.Call(keywords=given)) if (
                known == function
            ):
                said = (ast.literal_eval(one.value) for one in given if one.arg == "help")
                return str(next(said, ""))
    raise LookupError(COMMANDS[name])


def _source(module: str) -> str:
    """The source of a module that is not imported."""
    spec = importlib.util.find_spec(module)
    assert spec is not None and isinstance(spec.loader, InspectLoader)
    return spec.loader.get_source(module) or ""


def _alone(function: Any) -> typer.Typer:
    """A program of one command."""
    made = typer.Typer(add_completion=False, rich_markup_mode=None, pretty_exceptions_enable=False)
    made.command()(function)
    return made


class _Group(TyperGroup):
    """The program's commands, in a mapping of ours."""

    def __init__(self, **settings: Any) -> None:
        super().__init__(**(settings | {"commands": _Commands()}))

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        """The commands in the help, none of them made for it."""
        del ctx
        with formatter.section("Commands"):
            formatter.write_dl([(name, _summary(name)) for name in COMMANDS])


app = typer.Typer(
    name="rasterc",
    cls=_Group,
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help=(
        "From what a product must carry to the drops a continuous inkjet coder prints.\n\n"
        f"Exit codes: {IN_WORDS}. Heads work at kilovolts and with flammable "
        "ink: this tool looks at codes, it does not replace local law or licensed practice."
    ),
)


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
