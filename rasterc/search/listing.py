"""The messages of a plant, one by one: what each prints on its line, and what is ahead of it."""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterator, Mapping, Sequence
from contextlib import closing
from datetime import UTC, datetime, tzinfo
from functools import partial
from pathlib import Path
from zoneinfo import ZoneInfo

from msgspec import Struct, structs

from rasterc.api import Code, load_all
from rasterc.checks.samples import sample_inputs
from rasterc.diagnostics import Diagnostic, InputError
from rasterc.files import note_read
from rasterc.files.answers import Noted, note_all, noting
from rasterc.head.timing import length_mm
from rasterc.inspection.kept import files_of
from rasterc.inspection.running import cores
from rasterc.layout.model import Strokes
from rasterc.moments import parse_when
from rasterc.output.code.at_speed import geometry_at
from rasterc.output.code.geometry import DropGeometry
from rasterc.plant import Defaults, Plant, Run
from rasterc.printed import Print
from rasterc.profile.model import LineProfile
from rasterc.search.days import Ahead, coming_days
from rasterc.values.settings import instant_of, settable, split_settings, unknown_settings

ENOUGH = 100
"""So many files are listed before other processes have started."""
_TOGETHER = 20  # files that are listed one after the other, what they share being read once
_Runs = tuple[Run, ...]


class Asked(Struct, frozen=True):
    """What a list is asked for.

    Attributes:
        now: the moment it is now, with an offset.
        at: the moment to print at and to look ahead from; None: each run's own moment, else now,
            and to look ahead from now.
        defaults: those of the plant.
    """

    now: datetime
    at: datetime | None = None
    defaults: Defaults = Defaults()


class Listed(Struct, frozen=True):
    """A message on a line.

    Attributes:
        message: its name; "" when its file cannot be read.
        file: the file.
        line: the line's name; "" without one.
        raster: drops high; 0 when its file cannot be read.
        at: the moment it was printed at; None when it reads no clock, or cannot be printed.
        lines: its texts then.
        strokes: what it prints then; None when it cannot.
        geometry: how its drops look on the line; plain ones without a line.
        length_mm: how long it is on the product; None when that cannot be told.
        made_up: inputs that were given a text for want of one.
        ahead: the days ahead of it.
        faults: why it cannot be printed.
    """

    message: str
    file: Path
    line: str
    raster: int = 0
    at: datetime | None = None
    lines: tuple[str, ...] = ()
    strokes: Strokes | None = None
    geometry: DropGeometry = DropGeometry()
    length_mm: float | None = None
    made_up: tuple[str, ...] = ()
    ahead: Ahead = Ahead()
    faults: tuple[Diagnostic, ...] = ()


def list_plant(
    plant: Plant,
    asked: Asked,
    workers: int | None = None,
    shown: Callable[[int], None] | None = None,
) -> list[Listed]:
    """The messages of a plant on each line that they run on, in its order.

    Never raises for what is in message files and profiles. A file of declarations alone that a
    pattern found is left out.

    Args:
        plant: the plant.
        asked: what it is asked for.
        workers: so many processes; one for each processor when not given and there is enough to do.
        shown: is told how many files more are done.

    Raises:
        InputError: a worker was ended from outside; or a file that was read is to be written.
    """
    files = _by_file(plant)
    many = workers or (cores() if len(files) > ENOUGH else 1)
    size = min(_TOGETHER, -(-len(files) // many))
    parts = [files[at : at + size] for at in range(0, len(files), size)]
    found: dict[int, list[list[Listed]]] = {}
    with closing(_worked_off(asked, list(enumerate(parts)), min(many, len(parts)))) as done:
        for (number, part), (listed, noted) in done:
            found[number] = listed
            note_all(noted)
            for path in files_of(noted):
                note_read(path)
            if shown:
                shown(len(part))
    of_file = [one for number in sorted(found) for one in found[number]]
    return _in_order(plant, files, of_file)


def _in_order(
    plant: Plant, files: Sequence[_Runs], found: Sequence[Sequence[Listed]]
) -> list[Listed]:
    """What came of each file, in the order of the plant's runs."""
    known: dict[tuple[Path, str], list[Listed]] = {}
    for runs, listed in zip(files, found, strict=True):
        for one in listed:
            known.setdefault((runs[0].file, one.line), []).append(one)
    return [one for run in plant.runs for one in known.get((run.file, _line(run)), ())]


_Part = tuple[int, Sequence[_Runs]]
_Done = tuple[list[list[Listed]], Noted]
"""The messages of each file, and what the file system was asked for them."""


def _worked_off(
    asked: Asked, parts: Sequence[_Part], workers: int
) -> Generator[tuple[_Part, _Done], None, None]:
    """What came of parts of the plant, as they come."""
    work = partial(_list_part, asked)
    if workers > 1:
        from rasterc.processes import work_off

        yield from work_off(work, parts, workers)
    else:
        yield from ((part, work(part)) for part in parts)


def _list_part(asked: Asked, part: _Part) -> _Done:
    lister = _Lister(asked)
    with noting() as noted:
        listed = [list(lister.of_file(runs)) for runs in part[1]]
    return listed, noted


def _by_file(plant: Plant) -> list[_Runs]:
    """The runs of each message file, light enough to be sent to other processes."""
    runs: dict[Path, list[Run]] = {}
    for run in plant.runs:
        runs.setdefault(run.file, []).append(structs.replace(run, place=None, silences=()))
    return list(map(tuple, runs.values()))


class _Lister:
    """Lists files one after the other; what they share is read once."""

    def __init__(self, asked: Asked) -> None:
        self._asked = asked
        self._profiles: dict[tuple[object, ...], LineProfile | InputError] = {}

    def of_file(self, runs: Sequence[Run]) -> Iterator[Listed]:
        try:
            codes = load_all(runs[0].file)
        except InputError as error:
            yield from (_broken(run, error.diagnostics) for run in runs)
            return
        for run in runs:
            yield from self._of_run(run, codes)

    def _of_run(self, run: Run, codes: Mapping[str, Code]) -> Iterator[Listed]:
        pairs, faults = split_settings(run.settings)
        faults += unknown_settings(pairs, settable(code.message for code in codes.values()))
        profile = self._profile(run)
        if isinstance(profile, InputError):
            faults += profile.diagnostics
        if not codes and not run.by_pattern:
            faults.append(Diagnostic("no-message", f"{run.file} holds no message"))
            yield _broken(run, faults)
        for name, code in codes.items():
            if faults or isinstance(profile, InputError):
                yield _broken(run, faults, name, code.message.raster)
            else:
                yield _listed(self._asked, run, code, profile, pairs)

    def _profile(self, run: Run) -> LineProfile | InputError | None:
        if run.line is None:
            return None
        key = (run.line, run.rules)
        if key not in self._profiles:
            try:
                self._profiles[key] = run.line.load_profile(run.rules)
            except InputError as error:
                self._profiles[key] = error
        return self._profiles[key]


def _broken(run: Run, faults: Sequence[Diagnostic], name: str = "", raster: int = 0) -> Listed:
    return Listed(name, run.file, _line(run), raster, faults=tuple(faults))


def _line(run: Run) -> str:
    return run.line.name if run.line else ""


def _listed(
    asked: Asked, run: Run, code: Code, profile: LineProfile | None, pairs: Mapping[str, str]
) -> Listed:
    message = code.message
    when = asked.at or (asked.now if run.at is None else parse_when(run.at))
    try:
        given = instant_of(message, when, pairs)
        inputs = sample_inputs(code.plan, given.inputs, given.when)
        printed = code.resolve_at(structs.replace(given, inputs=inputs))
    except InputError as error:
        return _broken(run, error.diagnostics, message.name, message.raster)
    listed = Listed(
        message.name,
        run.file,
        _line(run),
        message.raster,
        printed.resolved.instant.when if code.plan.clocks_read() else None,
        printed.lines,
        made_up=tuple(name for name in inputs if name not in given.inputs),
        ahead=_ahead(asked, printed, profile),
    )
    return _with_strokes(listed, printed, profile)


def _with_strokes(listed: Listed, printed: Print, profile: LineProfile | None) -> Listed:
    try:
        strokes = printed.strokes(profile)
    except InputError as error:
        return structs.replace(listed, faults=error.diagnostics)
    geometry = geometry_at(profile, strokes)
    strokes = structs.replace(strokes, boxes=())
    return structs.replace(
        listed,
        strokes=strokes,
        geometry=geometry,
        length_mm=_length_mm(strokes, geometry) if profile else None,
    )


def _length_mm(strokes: Strokes, geometry: DropGeometry) -> float:
    return length_mm(len(strokes), geometry.stroke_pitch_mm, geometry.dot_diameter_mm)


def _ahead(asked: Asked, printed: Print, profile: LineProfile | None) -> Ahead:
    start = asked.at or asked.now
    if start.tzinfo is None:
        when = printed.resolved.instant.when
        start = when if when and when.tzinfo else start.replace(tzinfo=_zone(asked.defaults))
    return coming_days(printed.subject(profile), start, asked.defaults.horizon_years)


def _zone(defaults: Defaults) -> tzinfo:
    return ZoneInfo(defaults.zone) if defaults.zone else UTC
