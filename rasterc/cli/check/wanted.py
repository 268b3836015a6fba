"""What `rasterc check` is asked for, as tasks: a plant, or files and folders."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime, time
from pathlib import Path

from msgspec import Struct, structs

from rasterc.cli.common import no_message
from rasterc.cli.plants import found_plant
from rasterc.cli.stretch import STRETCHES, stretch
from rasterc.diagnostics import Diagnostic, InputError, fail_on_errors
from rasterc.files import find_files, is_folder
from rasterc.inspection.kept import Memory
from rasterc.inspection.planning import Plan, PlannedRun, load_plan
from rasterc.inspection.tasks import Asked, Held, Task
from rasterc.values.settings import split_settings

STANDARD_INPUT = "-"
_NOON = time(12)


class Options(Struct, frozen=True):
    """Options of the command that say what is looked at, as they were typed."""

    at: str | None = None
    since: str | None = None
    years: int | None = None
    everything: bool = False
    settings: Sequence[str] = ()
    profile: Path | None = None
    message: str | None = None
    fonts: Sequence[Path] = ()
    changed: str | None = None

    @property
    def given(self) -> tuple[tuple[str, str], ...]:
        """The settings; raises `InputError`."""
        pairs, faults = split_settings(self.settings)
        fail_on_errors(faults)
        return tuple(pairs.items())


class Wanted(Struct, frozen=True):
    """What is to be looked at.

    Attributes:
        tasks: in the order in which they are told.
        called: what was asked for, as it was typed.
        given: settings of the command.
        message: the only message that is meant, None for all.
        plan: of the plant; None for files and folders.
        of: how many there were before only those that a change touches were taken; else None.
        whole: all messages, over years: then what was not found is not there.
        lasting: what is found holds longer than a second, and is worth keeping.
    """

    tasks: Sequence[Task]
    called: str
    given: tuple[tuple[str, str], ...] = ()
    message: str | None = None
    plan: Plan | None = None
    of: int | None = None
    whole: bool = False
    lasting: bool = True

    @property
    def many(self) -> bool:
        """Whether more than one file was asked for."""
        return self.plan is not None or self.of is not None or len(self.tasks) > 1


def wanted(paths: Sequence[Path], options: Options, memory: Memory | None) -> Wanted:
    """What is to be looked at.

    Raises:
        InputError: options that do not go together, no plant, a plant file with faults, or no file.
    """
    _check_options(options)
    found = _of_files(paths, options) if paths else _of_plant(options, memory)
    return found if options.changed is None else _touched(found, options.changed, memory)


def _touched(found: Wanted, revision: str, memory: Memory | None) -> Wanted:
    """What a change since a revision touches; all of a plant whose file changed."""
    from rasterc.inspection.changed import changed_since

    folder = Path(found.called).parent if found.plan else Path()
    change = changed_since(folder, revision)
    if found.plan and os.path.realpath(found.called) in change.paths:
        return found
    tasks = tuple(change.touched(found.tasks, memory))
    return structs.replace(found, tasks=tasks, of=len(found.tasks), whole=False)


def _check_options(options: Options) -> None:
    if not options.everything and (options.since is not None or options.years is not None):
        option = "--from" if options.since is not None else "--years"
        said = f"{option} goes with --all"
        raise InputError.one("bad-option", said, help="give --all, or --at TIME for one moment")
    if options.at is not None and options.since is not None:
        said = "--at and --from both say where to begin"
        raise InputError.one("two-choices", said, help="give one of them")


def _of_files(paths: Sequence[Path], options: Options) -> Wanted:
    given, found = options.given, files_of(paths)
    by_day = any(map(is_folder, paths))
    when = _when(options, by_day=by_day)
    held = Held(when, given, may_be_empty=True)
    if options.profile is not None:
        held = _against(held, options.profile, found, options)
    asked = _asked(options, _years(options, STRETCHES["check"].years))
    tasks = [Task(str(path), held, asked) for path in found]
    called = ", ".join(map(str, paths))
    lasting = by_day or _is_named(options)
    return Wanted(tasks, called, given, options.message, lasting=lasting)


def _of_plant(options: Options, memory: Memory | None) -> Wanted:
    path = found_plant()
    if options.profile is not None:
        said = "--profile goes with files: the lines of a plant have profiles of their own"
        raise InputError.one("two-choices", said, help="leave one of them out")
    return of_plant(path, options, memory)


def of_plant(path: Path, options: Options, memory: Memory | None) -> Wanted:
    """What is to be looked at of the plant of a file.

    Raises:
        InputError: options that cannot be, or a plant file with faults.
    """
    given, plan = options.given, load_plan(path, memory)
    when = _when(options, by_day=True)
    asked = _asked(options, _years(options, plan.years))
    tasks = [run.task(asked, _moment(run, options, when), given) for run in plan.runs]
    whole = options.everything and options.message is None
    return Wanted(tasks, str(path), given, options.message, plan, whole=whole)


def _moment(run: PlannedRun, options: Options, when: datetime) -> datetime:
    """The moment of a run: the plant's, where the command names none."""
    if run.at is None or _is_named(options):
        return when
    from rasterc.moments import parse_when

    return parse_when(run.at)


def _is_named(options: Options) -> bool:
    return options.at is not None or options.since is not None


def _asked(options: Options, years: int | None) -> Asked:
    return Asked(years, options.message, tuple(map(str, options.fonts)))


def _years(options: Options, usual: int) -> int | None:
    if not options.everything:
        return None
    return usual if options.years is None else options.years


def _when(options: Options, *, by_day: bool) -> datetime:
    """The moment, or where the years begin.

    Without one named it is now; or what stands for today, so that it is the same all day: its
    first minute for years ahead, noon for one print.

    Raises:
        InputError: the moment is none, or the years cannot be looked at.
    """
    from rasterc.moments import parse_when

    years = _years(options, STRETCHES["check"].years)
    if years is not None:
        begin = stretch("check", options.since if options.at is None else options.at, years).start
    else:
        begin = datetime.now(UTC).replace(microsecond=0)
    if options.at is not None:
        return parse_when(options.at)
    if _is_named(options) or not by_day:
        return begin
    return datetime.combine(begin.date(), time() if options.everything else _NOON, UTC)


def _against(held: Held, profile: Path, found: Sequence[Path], options: Options) -> Held:
    """The same against a profile, the one of all files.

    Raises:
        InputError: with what is wrong with it, and with the files.
    """
    from rasterc.profile.load import parse_profile, profile_text

    name = str(profile)
    try:
        text = profile_text(profile)
        parse_profile(text, name)
    except InputError as error:
        faults = dict.fromkeys((*error.diagnostics, *_faults(found, options)))
        raise InputError(tuple(faults)) from None
    once = text if name == STANDARD_INPUT else None
    return structs.replace(held, profile=name, profile_text=once)


def _faults(found: Sequence[Path], options: Options) -> Iterator[Diagnostic]:
    """What is wrong with message files."""
    from rasterc.api import load_all

    for path in found:
        try:
            load_all(path, fonts=options.fonts)
        except InputError as error:
            yield from error.diagnostics


def files_of(paths: Sequence[Path]) -> list[Path]:
    """The files themselves, and the message files below folders, each once, in order.

    Raises:
        InputError: a folder cannot be read, or holds no message file.
    """
    from rasterc.source.load import SUFFIX

    found: dict[str, Path] = {}
    for path in paths:
        below = find_files(path, SUFFIX) if is_folder(path) else [path]
        if not below:
            raise no_message(path)
        for one in below:
            real = STANDARD_INPUT if str(one) == STANDARD_INPUT else os.path.realpath(one)
            found.setdefault(real, one)
    return list(found.values())
