"""What every message of a plant can print at all, kept between runs.

The index lies in the user's cache, one for each plant and release. What it says of a message file
holds as long as the file system answers what was asked of it as it did then: any other file is read
anew.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from hashlib import sha256
from os.path import realpath
from pathlib import Path

import msgspec
from msgspec import Struct, structs

from rasterc.diagnostics import Diagnostic, InputError, fail_on_errors
from rasterc.domain.atoms import lines_of
from rasterc.domain.progress import Progress, counted
from rasterc.files.answers import Answers, Question, noting
from rasterc.files.cache import user_cache
from rasterc.inspection.release import release
from rasterc.plant import Plant
from rasterc.search.patterns import LinePart, patterns_of
from rasterc.source.load import Read, read_messages
from rasterc.values import Plan, prepare

CACHE = "messages"


Parts = tuple[int, ...]


class IndexedMessage(Struct, frozen=True, array_like=True):
    """A message.

    Attributes:
        name: its name.
        lines: for each line all that it may be, as parts, by their places in the list of all parts.
        blocks: the block of each line.
    """

    name: str
    lines: tuple[tuple[Parts, ...], ...]
    blocks: tuple[int, ...]


class IndexedFile(Struct, frozen=True, array_like=True):
    """A message file.

    Attributes:
        noted: what was asked of the file system for it, and the answers.
        messages: its messages; none when it has faults.
        fault: what is wrong with it, in a line; "" for nothing.
    """

    noted: tuple[tuple[Question, str], ...]
    messages: tuple[IndexedMessage, ...]
    fault: str = ""


class Index(Struct, frozen=True, array_like=True):
    """The message files of a plant, by path, and the parts that their lines are made of."""

    parts: tuple[LinePart, ...]
    files: dict[str, IndexedFile]


def index_of(plant: Plant, progress: Progress) -> Index:
    """The index of a plant: what is kept of it, as far as that still holds, and the rest anew."""
    cache, key = user_cache(CACHE), _key(plant)
    data = None if cache is None else cache.get(key)
    kept = _decoded(data)
    made = _renewed(plant, kept, progress)
    if cache is not None and made is not kept:
        with suppress(UnicodeEncodeError):  # a name that cannot be written down
            cache.put(key, f"what {plant.name} can print", msgspec.msgpack.encode(made))
    return made


def _decoded(data: bytes | None) -> Index:
    return Index((), {}) if data is None else msgspec.msgpack.decode(data, type=Index)


def _key(plant: Plant) -> str:
    names = release(), realpath(plant.folder), str(plant.folder), str(plant.file)
    return sha256("\n".join(names).encode(errors="surrogateescape")).hexdigest()


def _renewed(plant: Plant, kept: Index, progress: Progress) -> Index:
    """The index as it must be now; the same object when nothing has changed."""
    answers = Answers()
    sound = {
        str(path): kept.files[str(path)]
        for path in plant.files
        if str(path) in kept.files and answers.are(dict(kept.files[str(path)].noted))
    }
    missing = [path for path in plant.files if str(path) not in sound]
    if not missing and len(sound) == len(kept.files):
        return kept
    builder = _Builder(kept.parts)
    made = {name: builder.kept(file) for name, file in sound.items()}
    for path in counted(missing, f"of {len(missing):,} message files read", progress):
        made[str(path)] = builder.file(path)
    return Index(builder.parts, {str(path): made[str(path)] for path in plant.files})


class _Builder:
    """Reads message files, with the parts of their lines in one list.

    Args:
        old: the parts of an index from which files are taken over.
    """

    def __init__(self, old: Sequence[LinePart]) -> None:
        self._old = old
        self._numbers: dict[LinePart, int] = {}
        self._new: dict[int, int] = {}

    @property
    def parts(self) -> tuple[LinePart, ...]:
        """All parts, in the order of their numbers."""
        return tuple(self._numbers)

    def kept(self, file: IndexedFile) -> IndexedFile:
        """A file of the old index with its parts in the new one."""
        messages = (
            structs.replace(one, lines=tuple(map(self._renumbered_line, one.lines)))
            for one in file.messages
        )
        return structs.replace(file, messages=tuple(messages))

    def _renumbered_line(self, line: tuple[Parts, ...]) -> tuple[Parts, ...]:
        return tuple(tuple(map(self._renumbered, parts)) for parts in line)

    def _renumbered(self, number: int) -> int:
        if number not in self._new:
            self._new[number] = self._number(self._old[number])
        return self._new[number]

    def file(self, path: Path) -> IndexedFile:
        """What a message file can print."""
        fault, messages = "", tuple[IndexedMessage, ...]()
        with noting() as noted:
            try:
                messages = tuple(map(self._message, plans_of(path)))
            except InputError as error:
                fault = _told(error.diagnostics, path)
        return IndexedFile(tuple(noted.items()), messages, fault)

    def _message(self, plan: Plan) -> IndexedMessage:
        lines = (tuple(map(self._parts, line)) for line in patterns_of(plan))
        return IndexedMessage(plan.message.name, tuple(lines), blocks_of(plan))

    def _parts(self, parts: Sequence[LinePart]) -> Parts:
        return tuple(map(self._number, parts))

    def _number(self, part: LinePart) -> int:
        return self._numbers.setdefault(part, len(self._numbers))


def plans_of(path: Path) -> list[Plan]:
    """The messages of a file, made ready to be printed; no fonts are looked for.

    Raises:
        InputError: with everything that is wrong with the file.
    """
    read: Read = read_messages(path)
    prepared = [prepare(message) for message in read.messages]
    fail_on_errors([*read.diagnostics, *(fault for _, found in prepared for fault in found)])
    return [plan for plan, _ in prepared]


def blocks_of(plan: Plan) -> tuple[int, ...]:
    """The number of the block of each line."""
    numbers = {id(line): n for n, b in enumerate(plan.blocks) for line in _lines(b.content)}
    return tuple(numbers[id(line)] for line in lines_of(plan))


def _lines(content: object) -> tuple[object, ...]:
    return content if isinstance(content, tuple) else ()


def _told(diagnostics: Sequence[Diagnostic], path: Path) -> str:
    """The first of some faults of a file, and how many there are more."""
    first, more = diagnostics[0], len(diagnostics) - 1
    span = first.span
    place = ""
    if span is not None:
        own = span.source.name == str(path)
        place = f"line {span.line}: " if own else f"{span.source.name}, line {span.line}: "
    return f"{place}{first.message}" + (f", and {more} more" if more else "")
