"""From the text of a file to what can be printed: texts, fonts and pictures.

Every step looks for mistakes, whatever the steps before it found, so that all of them are reported
together.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from msgspec import Struct

from rasterc.diagnostics import Diagnostic, InputError
from rasterc.files import is_folder
from rasterc.fonts.library import FontBook, no_folder
from rasterc.fonts.model import Font
from rasterc.layout import Composer
from rasterc.source.load import Read, name_of, place_in, read_messages
from rasterc.source.meaning.analyse import choose
from rasterc.source.message import Message, Picture
from rasterc.source.parse import limited
from rasterc.values import Plan, prepare


class Ready(Struct, frozen=True):
    """A message with all that it needs to be printed."""

    message: Message
    plan: Plan
    fonts: dict[str, Font]
    composer: Composer


def make_ready(read: Read, folders: Sequence[Path] = ()) -> list[Ready]:
    """The messages of a file, ready to be printed.

    Args:
        read: what came of reading the file.
        folders: more folders to look for fonts in.

    Raises:
        InputError: with everything that is wrong with the text, its fonts and its pictures, in the
            order of the text.
    """
    missing = [no_folder(folder) for folder in folders if not is_folder(folder)]
    book = FontBook(Path(read.folder), tuple(folders))
    faults: list[Faults] = [(diagnostic,) for diagnostic in (*missing, *read.diagnostics)]
    ready: list[Ready] = []
    for message in read.messages:
        plan, found = prepare(message)
        fonts: dict[str, Font] = {}
        composer = Composer()
        faults += [(diagnostic,) for diagnostic in found]
        unfound = _find_fonts(message, book, fonts)
        faults += (fault for fault in unfound if not (missing and fault[0].code == "unknown-font"))
        faults += _read_pictures(message, composer)
        ready.append(Ready(message, plan, fonts, composer))
    _raise_all(faults, read)
    return ready


def load_plan(path: Path, name: str | None) -> Plan:
    """The plan of a message of a file, its only one without ``name``; no fonts are looked for.

    Raises:
        InputError: with everything that is wrong with the file; or there is no such message.
    """
    read = read_messages(path)
    prepared = [prepare(message) for message in read.messages]
    faults = [*read.diagnostics, *(fault for _, found in prepared for fault in found)]
    _raise_all([(fault,) for fault in faults], read)
    return choose({plan.message.name: plan for plan, _ in prepared}, name, name_of(path))


def _raise_all(faults: list[Faults], read: Read) -> None:
    """Raise `InputError` with faults in order of place, each once, if there are any."""
    faults.sort(key=lambda group: place_in(read.source, group[0]))
    in_order = dict.fromkeys(diagnostic for group in faults for diagnostic in group)
    if in_order:
        raise InputError(limited(tuple(in_order)))


Faults = tuple[Diagnostic, ...]
"""A diagnostic, and those that say more about it."""


def _find_fonts(message: Message, book: FontBook, fonts: dict[str, Font]) -> Iterator[Faults]:
    """Fill ``fonts``; what is wrong with them."""
    for line in message.lines:
        if line.font and line.font not in fonts:  # a line without one has been reported
            try:
                fonts[line.font] = book.find(line.font, line.font_span)
            except InputError as error:
                yield error.diagnostics


def _read_pictures(message: Message, composer: Composer) -> Iterator[Faults]:
    """Have the composer read every picture; what is wrong with them."""
    for block in message.blocks:
        if isinstance(block.content, Picture):
            try:
                composer.picture(block.content, message.folder)
            except InputError as error:
                yield error.diagnostics
