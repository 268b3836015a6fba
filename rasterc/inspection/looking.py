"""Holding the messages of one file against the rules, in each way that is wanted.

A file is looked at by itself, from its task alone, so that many can be looked at in many processes.
What it asked of the file system is noted: as long as that answers the same, so do the rules.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import datetime
from functools import lru_cache, partial

from msgspec import Struct, structs

from rasterc import files
from rasterc.api import Code, Print, load_all
from rasterc.checks.coverage import coverage
from rasterc.checks.pace import timings
from rasterc.checks.registry import Report, report
from rasterc.checks.samples import sample_inputs
from rasterc.checks.subject import Subject
from rasterc.checks.survey import survey
from rasterc.diagnostics import Diagnostic, InputError, did_you_mean
from rasterc.files.answers import Noted, noting
from rasterc.inspection.accepting import sorted_out
from rasterc.inspection.moments import at_moment, noted_twice
from rasterc.inspection.tasks import Held, Task
from rasterc.inspection.verdict import Instants, Looked, Verdict
from rasterc.profile.load import parse_profile, profile_text
from rasterc.profile.model import LineProfile, RuleSet
from rasterc.source.load import name_of
from rasterc.source.message import Message
from rasterc.values.dates.offsets import LAST_YEAR
from rasterc.values.settings import instant_of, settable

Watch = Callable[[str], None]
"""Told what is being done, in a few words."""


class Found(Struct, frozen=True):
    """What came of a file held in one way, and what the file system was asked for it."""

    looked: Looked
    noted: Noted


def look_at(tasks: Sequence[Task], watch: Watch | None = None) -> list[Found]:
    """Check the messages of one file, in each way that it is to be held.

    Counters print their first value where none is given. Inputs without a default are faults at
    one instant, and have a made-up text at the edges.

    Args:
        tasks: of one file, with the same folders of fonts.
        watch: is told what is being done.
    """
    with files.apart(), noting() as noted:
        file = _File(tasks[0])
    return [_found(file, task, noted, watch) for task in tasks]


class _File:
    """The messages of a file by name, or what is wrong with it."""

    def __init__(self, task: Task) -> None:
        self.name = name_of(task.file)
        self.codes: Mapping[str, Code] = {}
        self.faults: tuple[Diagnostic, ...] = ()
        try:
            self.codes = load_all(task.file, fonts=task.asked.fonts)
        except InputError as error:
            self.faults = error.diagnostics

    @property
    def settable(self) -> frozenset[str]:
        return settable(code.message for code in self.codes.values())


def _found(file: _File, task: Task, loaded: Noted, watch: Watch | None) -> Found:
    with files.apart(), noting() as noted:
        looked = _looked(file, task, watch)
    return Found(looked, {**loaded, **noted})


def _looked(file: _File, task: Task, watch: Watch | None) -> Looked:
    held = task.held
    profile, faults = _profile(held)
    faults = (*file.faults, *faults, *_not_taken(file, held))
    if not file.codes and not faults and not held.may_be_empty:
        faults = (_no_message(file.name),)
    looked = Looked(file.name, held.line, tuple(file.codes), file.settable)
    if faults:
        verdict = Verdict(file=file.name, message="", line=held.line, faults=faults)
        return structs.replace(looked, verdicts=(verdict,))
    meant = [code for name, code in file.codes.items() if task.asked.message in (None, name)]
    holding = _Holding(task, profile, watch)
    verdicts = tuple(map(holding.verdict, meant))
    noted = tuple(noted_twice(held.when, holding.prints))
    return structs.replace(looked, verdicts=verdicts, noted=noted)


def _not_taken(file: _File, held: Held) -> Iterator[Diagnostic]:
    """Settings of the plant that the file has no use for."""
    if file.codes and not file.faults:
        for name in held.must_take:
            if name not in file.settable:
                said = f'the plant file sets "{name}" of {file.name}, which has no such name'
                help = did_you_mean(name, file.settable) or "it has no counter and no input"
                yield Diagnostic("unknown-name", said, help=help)


def _no_message(file: str) -> Diagnostic:
    help = "write message NAME { ... } in it"
    return Diagnostic("no-message", f"{file} holds no message", help=help)


def _profile(held: Held) -> tuple[LineProfile | None, tuple[Diagnostic, ...]]:
    """The line profile, as the line runs it, or what is wrong with it."""
    if held.profile is None:
        return None, ()
    try:
        text = held.profile_text or profile_text(held.profile)
        profile = _parsed(text, held.profile)
    except InputError as error:
        return None, error.diagnostics
    line = profile.line
    if held.speeds_m_s is not None:
        line = structs.replace(line, speeds_m_s=list(held.speeds_m_s))
    wanted = {*profile.rules, *held.rules}
    rules = [one for one in RuleSet if one in wanted]
    return structs.replace(profile, line=line, rules=rules), ()


@lru_cache(maxsize=64)
def _parsed(text: str, name: str) -> LineProfile:
    """A profile, once for all files that are held against it; raises `InputError`."""
    return parse_profile(text, name)


class _Holding:
    """The messages of a file held in one way, one after the other.

    Attributes:
        prints: those that could be printed.
    """

    def __init__(self, task: Task, profile: LineProfile | None, watch: Watch | None) -> None:
        self._asked, self._held = task.asked, task.held
        self._profile, self._watch = profile, watch
        self.prints: list[Print] = []

    def verdict(self, code: Code) -> Verdict:
        """What is found in a message, or why it cannot be checked."""
        message = code.message
        try:
            printed = self._printed(code)
            self.prints.append(printed)
            return self._checked(printed)
        except InputError as error:
            name, line = message.span.source.name, self._held.line
            return Verdict(file=name, message=message.name, line=line, faults=error.diagnostics)

    def _printed(self, code: Code) -> Print:
        given = instant_of(code.message, self._held.when, dict(self._held.given))
        if self._asked.years is not None:
            given = structs.replace(
                given, inputs=sample_inputs(code.plan, given.inputs, given.when)
            )
        return code.resolve_at(given)

    def _checked(self, printed: Print) -> Verdict:
        message, when = printed.resolved.message, printed.resolved.instant.when
        _refuse_far(when, self._asked.years or 1)
        subject = printed.subject(self._profile)
        clocks = printed.code.plan.clocks_read()
        verdict = Verdict(
            file=message.span.source.name,
            message=message.name,
            line=self._held.line,
            profile=self._profile.name if self._profile else None,
            at=when.isoformat() if when and clocks else None,
            said=at_moment(printed),
            lines=tuple(printed.lines),
            timing=timings(subject),
            expects=len(message.expects),
            requires=len(message.requires),
            start=when.date() if when and clocks else self._held.when.date(),
        )
        return self._with_findings(verdict, subject)

    def _with_findings(self, verdict: Verdict, subject: Subject) -> Verdict:
        watch = self._watch and partial(_tell, self._watch, subject.message)
        if self._asked.years is None:
            found, covered = report(subject, watch), coverage(subject, (), 1)
            return structs.replace(verdict, coverage=covered, **self._sorted(found))
        surveyed = survey(subject, self._asked.years, watch)
        return structs.replace(
            verdict,
            coverage=surveyed.coverage,
            instants=_instants(surveyed.instants),
            **self._sorted(surveyed.report),
        )

    def _sorted(self, found: Report) -> dict[str, object]:
        findings, silenced = sorted_out(found, self._held.accepts)
        return {"findings": findings, "silenced": silenced}


def _tell(watch: Watch, message: Message, doing: str) -> None:
    watch(f"{message.name}: {doing}")


def _instants(instants: Sequence[datetime]) -> Instants | None:
    return Instants(len(instants), instants[0], instants[-1]) if instants else None


def _refuse_far(when: datetime | None, years: int) -> None:
    """Refuse to look ahead past what calendars are made for; raises `InputError`."""
    if when is not None and when.year + years > LAST_YEAR:
        raise InputError.one(
            "bad-horizon",
            f"{years} year(s) from {when.date()} go beyond the year {LAST_YEAR}",
            help="is the year right? give an earlier --at, or fewer --years",
        )
