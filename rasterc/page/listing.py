"""Every message of the plant as it prints at a moment."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import TYPE_CHECKING

from msgspec import Struct

from rasterc.diagnostics import InputError
from rasterc.page.drawn import Drops, drops_of
from rasterc.page.places import Fault, faults_of
from rasterc.page.shelf import Loaded, Shelf, print_of, settings_of

if TYPE_CHECKING:
    from rasterc.code import Code
    from rasterc.plant import Run


class Entry(Struct, frozen=True):
    """A message on a line.

    Attributes:
        id: tells it from all others.
        file, message, line: what it is; ``line`` is "" without one.
        drops: as it prints; None where it cannot.
        faults: why it cannot be printed.
        made_up: inputs that were given a made-up text.
        digest: of its file.
    """

    id: str
    file: str
    message: str
    line: str
    digest: str
    drops: Drops | None = None
    faults: tuple[Fault, ...] = ()
    made_up: tuple[str, ...] = ()
    sized: bool = False


def entries(shelf: Shelf, when: datetime) -> Iterator[Entry]:
    """The messages of every run, in the order of the plant. Never raises for what is in a file.

    A file of declarations alone is left out when no one has named it.
    """
    for run in shelf.plant.runs:
        name = shelf.keeper.name(run.file)
        loaded = shelf.file(name)
        if loaded.faults:
            yield _broken(name, run, loaded)
        for code in loaded.codes.values():
            yield _entry(shelf, name, run, loaded, code, when)


def entry_id(file: str, message: str, line: str) -> str:
    """What tells an entry from all others; no name holds a NUL."""
    return "\0".join((file, message, line))


def _broken(name: str, run: Run, loaded: Loaded) -> Entry:
    line = run.line.name if run.line else ""
    faults = faults_of(loaded.faults, str(run.file))
    return Entry(entry_id(name, "", line), name, "", line, loaded.digest, None, faults)


def _entry(shelf: Shelf, name: str, run: Run, loaded: Loaded, code: Code, when: datetime) -> Entry:
    line, message = run.line.name if run.line else "", code.message.name
    head = entry_id(name, message, line), name, message, line, loaded.digest
    counters, inputs = settings_of(run, code)
    made_up = tuple(
        one
        for one, rule in code.plan.inputs.items()
        if one not in inputs and rule.input.default is None
    )
    source = code.message.span.source.name
    try:
        printed = print_of(code, when, counters, inputs)
        drops, faults = drops_of(printed, shelf.profile_of(run), source)
    except InputError as error:
        return Entry(*head, None, faults_of(error.diagnostics, source), made_up)
    shown = Drops(drops.lines, drops.bits, drops.raster, (), drops.sizes, drops.length_mm)
    return Entry(*head, shown, tuple(faults), made_up, run.line is not None)
