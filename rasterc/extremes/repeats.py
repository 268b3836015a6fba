"""The shortest time after which a code, or some of its fields, can print the same text again.

What counts as a repeat: the text stops being printable (its *run* ends) and becomes printable
again. The gap is the time from the end of a run to the start of the next run of the same text.
Printing twice within one run, twice in the same minute of a code with the minute, is none.

Counters: any number may be printed at any time, but a counter that stops at its end prints none
twice until it restarts. One that wraps may print a number again as soon as it has gone round; how
many prints that takes is told apart, since how fast they come is not known. Inputs may be given
again at any time.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta

from rasterc.diagnostics import Diagnostic, InputError, did_you_mean, fail_on_errors
from rasterc.extremes.atoms import (
    SECOND,
    TIME,
    Atom,
    Kind,
    Letter,
    Literal,
    Variable,
    Varying,
    Whole,
    reads_of,
    take_apart,
)
from rasterc.extremes.clockwork import (
    Clockwork,
    TooManyCellsError,
    clockwork,
    features_of,
)
from rasterc.extremes.groups import shaper_of
from rasterc.extremes.horizon import Horizon, horizon
from rasterc.extremes.model import Witness, witness_at
from rasterc.extremes.model_repeats import RepeatsReport
from rasterc.extremes.runs import Repeat
from rasterc.extremes.stretches import restart_keys, stretches_of
from rasterc.extremes.strings import Extent, extent_of_texts, is_clear
from rasterc.extremes.variables import Domain, domains_of, shows_whole
from rasterc.source.message import AtEnd, Counter, Restart
from rasterc.values import Instant, Plan
from rasterc.values.counters import prints
from rasterc.values.offsets import moment_of

_ASCII = tuple(map(chr, range(0x20, 0x7F)))

DEFAULT_YEARS = 120  # more than a hundred: two digits of a year come again


def repeats(
    plan: Plan,
    start: date | datetime,
    years: int = DEFAULT_YEARS,
    *,
    fields: Sequence[str] = (),
) -> RepeatsReport:
    """The shortest time after which the whole code, or the fields of these names, print again.

    Args:
        plan: the message.
        start: the first minute, as for `extremes`.
        years: calendar years in which both runs lie.
        fields: names of fields or texts in its lines; none for the whole code.

    Raises:
        InputError: the message has faults, a name is not printed, or the years cannot be looked at.
    """
    return repeats_within(plan, horizon(plan, start, years), fields)


def repeats_within(plan: Plan, stretch: Horizon, fields: Sequence[str] = ()) -> RepeatsReport:
    """The same within any stretch of whole minutes; see `repeats`."""
    fail_on_errors(plan.faults)
    atoms = take_apart(plan)
    _check_names(fields, [atom for atom in atoms if not isinstance(atom, Literal)])
    return _Search(plan, stretch, tuple(fields)).report()


def _check_names(fields: Sequence[str], atoms: Sequence[Varying]) -> None:
    known = {name for atom in atoms for name in atom.names}
    faults = [
        Diagnostic(
            "unknown-field",
            f'no field "{name}" is printed that could vary',
            help=did_you_mean(name, known),
        )
        for name in fields
        if name not in known
    ]
    if faults:
        raise InputError(faults)


@dataclass(slots=True)
class _Search:
    plan: Plan
    horizon: Horizon
    fields: tuple[str, ...]
    why: list[str] = field(default_factory=list)

    def report(self) -> RepeatsReport:
        atoms = [
            a for a in take_apart(self.plan) if not self.fields or set(a.names) & {*self.fields}
        ]
        varying = [atom for atom in atoms if not isinstance(atom, Literal)]
        domains = domains_of(self.plan, varying, lambda _: _ASCII)
        counters = self.counters(varying)
        once = [counter for counter in counters if counter.at_end is AtEnd.STOP]
        wraps = tuple((c.name, prints(c)) for c in counters if c.at_end is AtEnd.WRAP)
        ended = next((counter for counter in once if self.never_restarts(counter)), None)
        found, never = None, ""
        if ended is not None:
            never = f"counter {ended.name} stops at its end and never starts again"
        else:
            found = self.shortest(atoms, varying, once, domains)
        inputs = {
            v.name: next(iter(d.words.texts()), "")
            for v, d in domains.items()
            if v.kind is Kind.INPUT
        }
        return self.made(found, never, wraps, inputs)

    def counters(self, atoms: Sequence[Varying]) -> list[Counter]:
        """Counters of which the atoms show every value differently."""
        fields = [atom.field for atom in atoms if isinstance(atom, Whole)]
        return [
            counter
            for counter in self.plan.message.counters.values()
            if any(shows_whole(counter, each) for each in fields)
        ]

    def never_restarts(self, counter: Counter) -> bool:
        """Whether a counter has no restart, or one that never comes."""
        return counter.restart is Restart.NEVER or not self.varies(
            _restart_clock(self.plan, counter)
        )

    def varies(self, clock: str) -> bool:
        return self.plan.clocks[clock].root.zone is not None

    def shortest(
        self,
        atoms: Sequence[Atom],
        varying: Sequence[Varying],
        once: Sequence[Counter],
        domains: Mapping[Variable, Domain],
    ) -> _Found | None:
        seconds = any(_shows_seconds(atom) for atom in varying)
        work = self.clockwork(varying, [c.restart_of for c in once if c.restart_of is not None])
        self.note_unclear(atoms, varying, work, domains)
        keys = [restart_keys(work.timeline, counter) for counter in once]
        if not work.by_cell and not work.by_minute and not keys and not seconds:
            return _Found(None, always=not self.why)
        if seconds and not work.by_minute:  # each second comes again a minute later
            start = int(work.timeline.starts[0])
            return _Found(Repeat(start, start + 1, start + 1), seconds=True)
        repeat = stretches_of(work, keys, seconds).shortest()
        return None if repeat is None else _Found(repeat, seconds=seconds)

    def clockwork(self, varying: Sequence[Varying], also: Sequence[str]) -> Clockwork:
        """The clockwork of all atoms that depend on the minute alone and can be followed."""
        mine = [atom for atom in varying if reads_of(atom) == {TIME}]
        while True:
            try:
                work = clockwork(self.plan, *self.horizon.minutes, mine, also)
                break
            except TooManyCellsError as error:
                mine.remove(error.atom)
        shown = {feature for atom in mine for feature in features_of(atom)}
        for atom in varying:
            if atom not in mine and TIME in reads_of(atom) and not {*features_of(atom)} <= shown:
                name = atom.names[-1]
                self.why.append(f"{name} was not looked at: it mixes the time with other values")
        return work

    def note_unclear(
        self,
        atoms: Sequence[Atom],
        varying: Sequence[Varying],
        work: Clockwork,
        domains: Mapping[Variable, Domain],
    ) -> None:
        """Note that fields side by side may print the same text in two ways."""
        shaper = shaper_of(self.plan, self.horizon.minutes, domains)
        extents: dict[Atom, Extent] = {
            p.atom: extent_of_texts(p.texts) for p in (*work.by_cell, *work.by_minute)
        }
        for atom in varying:
            if atom not in extents and isinstance(atom, Whole):
                shape = shaper.field(atom.field)
                extents[atom] = Extent(shape.least, len(shape.places), shape.any_place())
        for line in sorted({atom.line for atom in atoms}):
            if not is_clear([atom for atom in atoms if atom.line == line], extents):
                self.why.append(
                    f"fields of varying length stand side by side in line {line + 1}: other values "
                    "may print the same text sooner"
                )

    def made(
        self,
        found: _Found | None,
        never: str,
        wraps: tuple[tuple[str, int], ...],
        inputs: Mapping[str, str],
    ) -> RepeatsReport:
        ends = self.horizon.start, self.horizon.end
        report = RepeatsReport(
            self.plan.message.name,
            self.fields,
            *ends,
            None,
            never=never,
            exact=not self.why,
            why="; ".join(self.why),
            wraps=wraps,
        )
        if found is None:
            return report
        if found.repeat is None and not found.always:  # nothing could be looked at
            return replace(report, gap=timedelta(0))
        if found.repeat is None:
            here = self.witness(self.horizon.minutes[0], inputs)
            return replace(report, gap=timedelta(0), first=here, last=here, again=here, always=True)
        r = found.repeat
        first = r.first_end - 1 if found.seconds else r.first_start
        return replace(
            report,
            gap=timedelta(minutes=r.gap, seconds=59 if found.seconds else 0),
            first=self.witness(first, inputs),
            last=self.witness(r.first_end - 1, inputs),
            again=self.witness(r.again, inputs),
        )

    def witness(self, minute: int, inputs: Mapping[str, str]) -> Witness:
        when = moment_of(minute).astimezone(self.horizon.zone) if self.plan.clocks else None
        return witness_at(self.plan, Instant(when, {}, inputs))


@dataclass(frozen=True, slots=True)
class _Found:
    """A repeat; ``always`` when one text prints all the time, ``seconds`` when runs last one."""

    repeat: Repeat | None
    always: bool = False
    seconds: bool = False


def _shows_seconds(atom: Varying) -> bool:
    return isinstance(atom, Letter) and reads_of(atom) == {SECOND}


def _restart_clock(plan: Plan, counter: Counter) -> str:
    """The clock whose days or shifts restart a counter."""
    assert counter.restart_of is not None
    shift = plan.schedules.get(counter.restart_of)
    return counter.restart_of if shift is None else shift.shift.clock
