"""What `rasterc check` works out: the messages of files, and what was found in them.

A file is looked at by itself, from what was asked and its path alone, so that many files can be
looked at in many processes.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from functools import partial
from pathlib import Path

from msgspec import structs

from rasterc import files
from rasterc.api import Code, Print, load_all
from rasterc.checks.coverage import Coverage, coverage
from rasterc.checks.pace import timings
from rasterc.checks.registry import Report, report
from rasterc.checks.samples import sample_inputs
from rasterc.checks.survey import survey
from rasterc.cli.common import instant_of, settable
from rasterc.cli.notes import noted_twice
from rasterc.cli.times import at_moment
from rasterc.diagnostics import Diagnostic, InputError
from rasterc.head.timing import SpeedTiming
from rasterc.profile.model import LineProfile
from rasterc.source.load import name_of
from rasterc.source.message import Message
from rasterc.values.dates.offsets import LAST_YEAR

Watch = Callable[[str], None]
"""Told what is being done, in a few words."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What messages are held against, and when.

    Attributes:
        when: the moment, or where the years begin.
        years: over so many years; None for the one moment.
        given: settings by name.
        message: the only message that is meant, None for all.
        outputs: what the command is going to write, and so must not read.
    """

    when: datetime
    years: int | None = None
    given: Mapping[str, str] = field(default_factory=dict)
    message: str | None = None
    profile: LineProfile | None = None
    fonts: tuple[Path, ...] = ()
    outputs: tuple[Path, ...] = ()


@dataclass(frozen=True, slots=True)
class Checked:
    """A message, its print at the first instant, what was found, and the instants looked at.

    Attributes:
        at: the moment of the print, ISO 8601; None when no clock is read.
        said: the same for a heading.
        lines: the texts of the print.
        timing: at every speed of the profile, empty when it cannot be told.
        expects, requires: how many there are in the message.
        coverage: which verdicts hold over every value, and which at the prints looked at.
    """

    message: str
    file: str
    at: str | None
    said: str
    lines: tuple[str, ...]
    timing: tuple[SpeedTiming, ...]
    expects: int
    requires: int
    report: Report
    coverage: Coverage
    instants: tuple[datetime, ...] = ()


@dataclass(frozen=True, slots=True)
class Broken:
    """A message, or a whole file (``message`` is "" then), that cannot be checked, and why."""

    message: str
    file: str
    faults: tuple[Diagnostic, ...]


@dataclass(frozen=True, slots=True)
class Looked:
    """What came of one file: its messages, those of them that were meant, and the settings taken.

    ``broken`` are messages that could not be checked, or the whole file.
    """

    file: Path
    names: tuple[str, ...] = ()
    settable: frozenset[str] = frozenset()
    checked: tuple[Checked, ...] = ()
    broken: tuple[Broken, ...] = ()
    noted: tuple[Diagnostic, ...] = ()


def look_at(asked: Asked, file: Path, watch: Watch | None = None) -> Looked:
    """Check the messages of a file, at one instant or at the edges of some years.

    Counters print their first value where none is given. Inputs without a default are faults at
    one instant, and have a made-up text at the edges.
    """
    with files.command():
        try:
            files.check_outputs(asked.outputs)
            codes = load_all(file, fonts=asked.fonts)
        except InputError as error:
            return Looked(file, broken=(Broken("", name_of(file), error.diagnostics),))
        meant = [code for name, code in codes.items() if asked.message in (None, name)]
        checked, broken, noted = _check(asked, meant, watch)
    names, known = tuple(codes), settable(code.message for code in codes.values())
    return Looked(file, names, known, tuple(checked), tuple(broken), tuple(noted))


def _check(
    asked: Asked, codes: Sequence[Code], watch: Watch | None
) -> tuple[list[Checked], list[Broken], list[Diagnostic]]:
    checked: list[Checked] = []
    broken: list[Broken] = []
    prints: list[Print] = []
    for code in codes:
        message = code.message
        try:
            prints.append(_printed(asked, code))
            checked.append(_checked(asked, prints[-1], watch and partial(_tell, watch, message)))
        except InputError as error:
            broken.append(Broken(message.name, message.span.source.name, error.diagnostics))
    return checked, broken, list(noted_twice(asked.when, prints))


def _printed(asked: Asked, code: Code) -> Print:
    given = instant_of(code.message, asked.when, asked.given)
    if asked.years is not None:
        given = structs.replace(given, inputs=sample_inputs(code.plan, given.inputs))
    return code.resolve_at(given)


def _tell(watch: Watch, message: Message, doing: str) -> None:
    watch(f"{message.name}: {doing}")


def _checked(asked: Asked, printed: Print, watch: Watch | None) -> Checked:
    message, when = printed.resolved.message, printed.resolved.instant.when
    _refuse_far(when, asked.years or 1)
    subject = printed.subject(asked.profile)
    instants: tuple[datetime, ...] = ()
    if asked.years is None:
        found, covered = report(subject, watch), coverage(subject, (), 1)
    else:
        surveyed = survey(subject, asked.years, watch)
        found, instants, covered = surveyed.report, surveyed.instants, surveyed.coverage
    return Checked(
        message.name,
        message.span.source.name,
        when.isoformat() if when and printed.code.plan.clocks_read() else None,
        at_moment(printed),
        tuple(printed.lines),
        timings(subject),
        len(message.expects),
        len(message.requires),
        found,
        covered,
        instants,
    )


def _refuse_far(when: datetime | None, years: int) -> None:
    """Refuse to look ahead past what calendars are made for; raises `InputError`."""
    if when is not None and when.year + years > LAST_YEAR:
        raise InputError.one(
            "bad-horizon",
            f"{years} year(s) from {when.date()} go beyond the year {LAST_YEAR}",
            help="is the year right? give an earlier --at, or fewer --years",
        )
