"""Reading a plant file: every fault reported, each with its line."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import partial
from pathlib import Path

from rasterc.diagnostics import InputError, SourceText
from rasterc.files import is_folder, read_text
from rasterc.plant.faults import faults_in
from rasterc.plant.file import LineEntry, MessageEntry, PlantFile, PlantSilenceEntry, SilenceEntry
from rasterc.plant.files import Named, files_named
from rasterc.plant.finding import Ground
from rasterc.plant.model import Defaults, Plant, PlantLine, PlantSilence, Run
from rasterc.source.load import SUFFIX
from rasterc.toml.places import Path as KeyPath
from rasterc.toml.typed import Places, read_toml

MAX_PLANT_BYTES = 4 << 20


def load_plant(path: Path) -> Plant:
    """Read and check a plant file. Profiles, messages and tables in it are there, but not read.

    Raises:
        InputError: with every fault found.
    """
    remedy = "name many files by one pattern: messages/**/*.rasterc"
    text = read_text(path, MAX_PLANT_BYTES, "the plant file", remedy=remedy)
    return parse_plant(text.removeprefix("\ufeff"), path)


def parse_plant(text: str, path: Path) -> Plant:
    """Read a plant file from its text; raises `InputError` with every fault found."""
    ground = Ground(path.parent)
    source = SourceText(str(path), text)
    file = read_toml(source, PlantFile, "plant file", partial(faults_in, ground=ground))
    return _Builder(file, path, ground, Places(source)).plant()


def folder_plant(folder: Path) -> Plant:
    """A folder without a plant file: every message file below it, on no line.

    Raises:
        InputError: it is no folder, cannot be listed, or holds no message file.
    """
    if not is_folder(folder):
        said = f"there is no folder {folder}"
        raise InputError.one("cannot-read", said, help="is the name right?")
    found = Ground(folder).everything()
    if not found:
        said = f"{folder} holds no {SUFFIX} file"
        raise InputError.one("no-message", said, help="write message NAME { ... } in one")
    runs = tuple(Run(file, by_pattern=True) for file in found)
    return Plant(_folder_name(folder), None, folder, runs=runs)


def _folder_name(folder: Path) -> str:
    return folder.resolve().name or str(folder)


class _Builder:
    """Makes a plant of a file without faults."""

    def __init__(self, file: PlantFile, path: Path, ground: Ground, places: Places) -> None:
        self._file, self._path = file, path
        self._ground, self._at = ground, places.at
        self._everywhere = [self._anywhere(*one) for one in enumerate(file.silences)]
        self._on_lines = {
            line.name: list(self._silences(line.silences, ("line", at), lines=(line.name,)))
            for at, line in enumerate(file.lines)
        }
        self._of_messages = [
            list(self._silences(one.silences, ("message", at), messages=(one.file,)))
            for at, one in enumerate(file.messages)
        ]

    def plant(self) -> Plant:
        file = self._file
        lines = {one.name: self._line(one) for one in file.lines}
        on_lines = [silence for each in self._on_lines.values() for silence in each]
        of_messages = [silence for each in self._of_messages for silence in each]
        return Plant(
            file.name or _folder_name(self._ground.folder),
            self._path,
            self._ground.folder,
            tuple(lines.values()),
            tuple(self._runs(lines)),
            tuple(map(self._ground.path, file.tables)),
            tuple(file.rules),
            (*self._everywhere, *on_lines, *of_messages),
            Defaults(file.defaults.zone, file.defaults.language, file.defaults.horizon_years),
        )

    def _line(self, entry: LineEntry) -> PlantLine:
        speeds = None if entry.speeds_m_s is None else tuple(entry.speeds_m_s)
        profile = self._ground.path(entry.profile)
        return PlantLine(entry.name, profile, tuple(entry.rules), speeds)

    def _runs(self, lines: dict[str, PlantLine]) -> Iterator[Run]:
        entries = self._file.messages
        named = files_named(self._ground, [entry.file for entry in entries])
        for at, (entry, one) in enumerate(zip(entries, named, strict=True)):
            on: list[PlantLine | None] = [lines[name] for name in entry.lines or lines]
            for file in one.files:
                yield from (self._run(at, entry, file, line, one) for line in on or [None])

    def _run(
        self, at: int, entry: MessageEntry, file: Path, line: PlantLine | None, named: Named
    ) -> Run:
        own = self._on_lines[line.name] if line else []
        anywhere = [one for one in self._everywhere if self._covers(one, file, line)]
        rules = (*self._file.rules, *(line.rules if line else ()), *entry.rules)
        return Run(
            file,
            line,
            entry.at,
            tuple(entry.settings),
            (*anywhere, *own, *self._of_messages[at]),
            tuple(dict.fromkeys(rules)),
            named.by_pattern,
            self._at(("message", at, "file")),
        )

    def _covers(self, silence: PlantSilence, file: Path, line: PlantLine | None) -> bool:
        if silence.lines and (line is None or line.name not in silence.lines):
            return False
        return not silence.messages or any(
            self._ground.means(text, file) for text in silence.messages
        )

    def _anywhere(self, at: int, entry: PlantSilenceEntry) -> PlantSilence:
        lines, messages = tuple(entry.lines or ()), tuple(entry.messages or ())
        place = self._at(("silence", at))
        return PlantSilence(entry.rule, entry.because, lines, messages, place)

    def _silences(
        self,
        entries: Iterable[SilenceEntry],
        holder: KeyPath,
        lines: tuple[str, ...] = (),
        messages: tuple[str, ...] = (),
    ) -> Iterator[PlantSilence]:
        for at, entry in enumerate(entries):
            place = self._at((*holder, "silence", at))
            yield PlantSilence(entry.rule, entry.because, lines, messages, place)
