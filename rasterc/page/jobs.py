"""What takes long, as functions of plain values: they are sent to worker processes.

Each gets a `Job` and gives a record for the page, or raises `InputError`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache
from typing import TYPE_CHECKING

from msgspec import Struct

from rasterc.code import Code
from rasterc.diagnostics import InputError
from rasterc.loading import make_ready
from rasterc.page.days import Day, days_of
from rasterc.page.places import Fault, Place, fault_of_finding, place_of
from rasterc.page.shelf import print_of
from rasterc.profile.model import LineProfile
from rasterc.source.load import read_messages_in

if TYPE_CHECKING:
    from datetime import datetime

    from rasterc.checks.coverage import Coverage
    from rasterc.checks.registry import Report
    from rasterc.extremes.model import Extreme
    from rasterc.printed import Print

_SILENCED_BY = "the plant"


class Job(Struct, frozen=True):
    """A text of a message file, and values to print one of its messages with.

    Attributes:
        name, folder: of the file; paths in the text start at the folder.
        stamp: changes whenever files of the plant did.
        silences: rules whose findings the plant accepts, with its reasons.
    """

    name: str
    folder: str
    text: str
    message: str
    when: datetime
    counters: dict[str, int]
    inputs: dict[str, str]
    profile: LineProfile | None
    silences: dict[str, str]
    stamp: int
    years: int = 5


class Looked(Struct, frozen=True):
    """What the rules found.

    Attributes:
        findings: the worst first; `silenced` are those that are accepted, with the reason.
        said: what the verdict covers, in words.
        lines: what was printed at the moment.
    """

    findings: tuple[Fault, ...]
    silenced: tuple[Fault, ...]
    said: str
    years: int


class Ahead(Struct, frozen=True):
    """What was found, and the next day on which a message ends or begins anew."""

    looked: Looked
    day: Day | None


class Worst(Struct, frozen=True):
    """An extreme, and the values that show it."""

    name: str
    title: str
    value: str
    exact: bool
    why: str
    said: str
    at: str
    counters: dict[str, int]
    inputs: dict[str, str]


class Risk(Struct, frozen=True):
    """A printed character at risk: its line and place in it, and what it is taken for."""

    line: int
    place: int
    char: str
    chance: float
    rivals: str
    source: Place | None


def warm(name: str) -> str:
    """Have a worker import what a check takes, before anyone waits for one."""
    from rasterc.checks import coverage, registry

    del coverage
    registry.all_rules()
    return name


def check(job: Job) -> Looked:
    """What the rules find at the job's moment."""
    from rasterc.checks.coverage import coverage
    from rasterc.checks.registry import report

    subject = _printed(job).subject(job.profile)
    return _looked(job, report(subject), coverage(subject, (), 1), 0)


def survey(job: Job) -> Looked:
    """What the rules find over all values and so many years."""
    from rasterc.checks.survey import survey as over_years

    found = over_years(_printed(job).subject(job.profile), job.years)
    return _looked(job, found.report, found.coverage, job.years)


def days(job: Job) -> tuple[Day, ...]:
    """The days on which something happens within so many years."""
    return days_of(_printed(job), job.profile, job.when, job.years)


def look_ahead(job: Job) -> Ahead:
    """What the rules find over so many years, and the next day that is of interest."""
    from rasterc.page.days import ahead_of

    found = survey(job)
    day = ahead_of(_printed(job), job.profile, job.when, job.years).next_day
    said = Day(day.day.isoformat(), str(day.kind), day.said) if day else None
    return Ahead(found, said)


def extremes(job: Job) -> tuple[Worst, ...]:
    """The extremes over all values and so many years."""
    printed = _printed(job)
    found = printed.code.extremes(job.when, job.years, profile=job.profile)
    return tuple(map(_worst, found.extremes))


def reading(job: Job) -> tuple[Risk, ...]:
    """The characters at risk when drops are lost, the greatest risk first."""
    found = _printed(job).reading()
    return tuple(sorted(_risks(found.lines, job.name), key=lambda risk: -risk.chance))


def _risks(lines: Iterable[object], name: str) -> Iterator[Risk]:
    from rasterc.reading.report import LineReading

    for line in lines:
        assert isinstance(line, LineReading)
        for one in line.places:
            if one.field and one.general.high > 0:
                rivals = " ".join(rival.char for rival in one.rivals)
                chance, source = one.general.high, place_of(one.span, name)
                yield Risk(one.line, one.place, one.char, chance, rivals, source)


def _worst(found: Extreme) -> Worst:
    value, unit = found.converted or (found.value, found.unit)
    witness = found.witness.instant
    return Worst(
        found.name, found.title, f"{found.bound}{value:,.5g} {unit}", found.exact, found.why,
        found.witness.said, witness.when.isoformat() if witness.when else "",
        dict(witness.counters), dict(witness.inputs),
    )  # fmt: skip


def _looked(job: Job, found: Report, covered: Coverage, years: int) -> Looked:
    """The findings for the page; those that the plant accepts apart."""
    from rasterc.checks.registry import find_rule

    how = {one.rule: str(one.how) for one in covered.rules}
    open_, accepted = list[Fault](), list[Fault]()
    for one in found.findings:
        because = job.silences.get(one.rule, "") if find_rule(one.rule).can_be_silenced else ""
        fault = fault_of_finding(one, job.name, how.get(one.rule, ""), because)
        (accepted if because else open_).append(fault)
    for silent in found.silenced:
        reason = silent.reason
        accepted.append(fault_of_finding(silent.finding, job.name, "", reason))
    return Looked(tuple(open_), tuple(accepted), covered.said, years)


def _printed(job: Job) -> Print:
    code = codes_of(job.name, job.folder, job.text, job.stamp).get(job.message)
    if code is None:
        help = "write message NAME { ... } in the text"
        raise InputError.one("no-message", f'there is no message "{job.message}"', help=help)
    return print_of(code, job.when, job.counters, job.inputs)


@lru_cache(maxsize=8)
def codes_of(name: str, folder: str, text: str, stamp: int) -> Mapping[str, Code]:
    """The messages of a text; the same text among the same files gives the same."""
    del stamp
    ready = make_ready(read_messages_in(text, name, folder))
    return {one.message.name: Code(one.message, one.plan, one.fonts, one.composer) for one in ready}
