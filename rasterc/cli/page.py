"""`rasterc page`: the plant in the browser."""

from __future__ import annotations

import sys
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rasterc.cli.common import JsonOption, reporting
from rasterc.cli.documents.page import PageDocument
from rasterc.cli.exits import EXIT_STOPPED
from rasterc.cli.say import Teller, say
from rasterc.diagnostics import Diagnostic, InputError, Severity

if TYPE_CHECKING:
    from rasterc.plant import Plant

_NEEDED = ("starlette", "uvicorn", "websockets", "watchfiles")


def page(
    plant: Annotated[
        Path | None,
        typer.Argument(
            metavar="PLANT or FOLDER",
            help="A plant file, or a folder of messages; the plant of this folder when left out.",
            show_default=False,
        ),
    ] = None,
    port: Annotated[
        int, typer.Option("--port", min=0, max=65535, help="Port to serve at; 0 takes a free one.")
    ] = 0,
    as_json: JsonOption = False,
    no_open: Annotated[bool, typer.Option("--no-open", help="Open no browser.")] = False,
    host: Annotated[
        str | None,
        typer.Option(
            "--host",
            metavar="NAME",
            help="Serve other machines too, under this name or address: whoever has the address "
            "with its token can read and change the files of the plant. Needs --tls-certificate "
            "and --tls-key.",
            show_default=False,
        ),
    ] = None,
    certificate: Annotated[
        Path | None,
        typer.Option(
            "--tls-certificate", metavar="FILE", help="Certificate for --host (PEM).",
            show_default=False,
        ),
    ] = None,
    key: Annotated[
        Path | None,
        typer.Option("--tls-key", metavar="FILE", help="Its key (PEM).", show_default=False),
    ] = None,
) -> None:  # fmt: skip
    """Open a plant in the browser: its messages as drops, their state, and an editor.

    The page is served to this machine alone, and works without a network. Stop it with Ctrl-C.
    """
    with reporting(as_json) as teller:
        _need_extra()
        _need_tls(host, certificate, key)
        from rasterc.page.server import LOOPBACK, Address, serve

        found = _plant(plant)
        if host is not None:
            teller.note(_exposed(host))
    address = Address(host or LOOPBACK, port, certificate, key)
    # outside of `reporting`: what one save has written, another may read
    serve(found, address, lambda where: _ready(teller, found.name, where, no_open))
    raise typer.Exit(EXIT_STOPPED)


def _ready(teller: Teller, name: str, where: str, no_open: bool) -> None:
    if teller.as_json:
        teller.document(PageDocument, {"name": name, "address": where})
    else:
        say(f"{name} is at {where}", "Ctrl-C stops it.")
    sys.stdout.flush()
    if not no_open:
        import webbrowser

        webbrowser.open(where)


def _plant(start: Path | None) -> Plant:
    """The plant that is meant; raises `InputError`."""
    from rasterc.files import is_folder
    from rasterc.plant import find_plant, folder_plant, load_plant

    if start is not None and not is_folder(start):
        return load_plant(start)
    folder = start or Path()
    found = find_plant(folder)
    return load_plant(found) if found else folder_plant(folder)


def _need_extra() -> None:
    missing = [name for name in _NEEDED if find_spec(name) is None]
    if missing:
        said = f"the page needs what is not installed: {', '.join(missing)}"
        raise InputError.one("no-extra", said, help='pip install "rasterc[page]"')


def _need_tls(host: str | None, certificate: Path | None, key: Path | None) -> None:
    from rasterc.files import is_file

    if host is None:
        if certificate or key:
            raise InputError.one("no-host", "TLS files are for --host", help="give --host NAME")
        return
    if certificate is None or key is None:
        said = f"serving {host} to other machines takes a certificate and its key"
        help = "give --tls-certificate FILE and --tls-key FILE; this machine alone needs no --host"
        raise InputError.one("no-tls", said, help=help)
    for path in (certificate, key):
        if not is_file(path):
            raise InputError.one("cannot-read", f"there is no file {path}", help="check its name")


def _exposed(host: str) -> Diagnostic:
    said = (
        f"the page is served to all machines that reach {host}: whoever has its address with the "
        "token can read and change every message of the plant"
    )
    return Diagnostic("exposed", said, help="leave out --host", severity=Severity.WARNING)
