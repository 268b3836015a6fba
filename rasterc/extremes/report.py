"""Every extreme of a message, over all values it can take."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime

from rasterc.diagnostics import Diagnostic, InputError, fail_on_errors
from rasterc.extremes.atoms import Atom, Literal, take_apart
from rasterc.extremes.clockgroup import ClockGroup
from rasterc.extremes.dates import date_ranges
from rasterc.extremes.edges import edges
from rasterc.extremes.group import HIGHEST, Assignment, TooManyVectorsError
from rasterc.extremes.groups import Groups, NoPrint, Progress, make_groups
from rasterc.extremes.horizon import Horizon, horizon
from rasterc.extremes.kinds import KINDS, converted, wanted_kinds
from rasterc.extremes.meter import (
    RISK_STEPS,
    LineForm,
    Meter,
    Risk,
    characters_meter,
    drops_meter,
    line_forms,
    risk_meter,
    strokes_meter,
    unprintable_meter,
)
from rasterc.extremes.model import (
    Extreme,
    ExtremesReport,
    Fault,
    Witness,
    instant_said,
    witness_at,
)
from rasterc.extremes.optimum import Optimum, bound, literal_vector, optimum
from rasterc.extremes.shapegroup import inexact
from rasterc.extremes.strings import count_strings
from rasterc.extremes.timeline import Timeline
from rasterc.extremes.window import densest
from rasterc.fonts.model import Font
from rasterc.layout import Composer, lay_out
from rasterc.layout.model import MAX_STROKES
from rasterc.profile.model import LineProfile
from rasterc.values import Instant, Plan
from rasterc.values.offsets import moment_of

DEFAULT_WINDOW = 20  # strokes


def extremes(
    plan: Plan,
    fonts: Mapping[str, Font],
    start: date | datetime,
    years: int = 10,
    *,
    profile: LineProfile | None = None,
    window: int = DEFAULT_WINDOW,
    risk: Risk | None = None,
    measures: Sequence[str] = (),
    composer: Composer | None = None,
    progress: Progress = lambda _: None,
) -> ExtremesReport:
    """What a message can come to over so many years and all counters, inputs and choices.

    Every minute is covered, and every second when seconds are printed. Clocks move together;
    counters and inputs vary freely, also where a restart ties a counter to the time.

    Args:
        plan: the message.
        fonts: the fonts of its lines.
        start: the first minute; a date or naive time is told in the zone of its first clock.
        years: calendar years that are looked at.
        profile: gives lengths in mm, at the speed that makes the code longest, and ink.
        window: strokes of the window for ``densest``.
        risk: weight of one character of a font, 0 or more, that adds up to the misread risk.
        measures: which of `KINDS`; all when empty.
        progress: told what is done when that takes long.

    Raises:
        InputError: the message has faults, does not fit its raster whatever it prints, or leaves
            the years that can be looked at; or an unknown measure.
    """
    return extremes_within(
        plan,
        fonts,
        horizon(plan, start, years),
        profile=profile,
        window=window,
        risk=risk,
        measures=measures,
        composer=composer,
        progress=progress,
    )


def extremes_within(
    plan: Plan,
    fonts: Mapping[str, Font],
    stretch: Horizon,
    *,
    profile: LineProfile | None = None,
    window: int = DEFAULT_WINDOW,
    risk: Risk | None = None,
    measures: Sequence[str] = (),
    composer: Composer | None = None,
    progress: Progress = lambda _: None,
) -> ExtremesReport:
    """The same over any stretch of whole minutes; see `extremes`."""
    fail_on_errors(plan.faults)
    wanted = wanted_kinds(measures, risk)
    if window < 1:
        raise InputError.one("bad-window", f"a window of {window} strokes", help="give 1 or more")
    search = _search(plan, fonts, stretch, composer or Composer(), progress)
    faults = list(search.faults())
    found = [e for name in wanted for e in search.extreme(name, window, profile, risk, faults)]
    return ExtremesReport(
        plan.message.name,
        stretch.start,
        stretch.end,
        count_strings(search.groups.groups, search.atoms),
        tuple(found),
        tuple(date_ranges(plan, search.timeline(), search.witness)),
        tuple(edges(plan, search.timeline(), search.witness)),
        tuple(faults),
        tuple(search.groups.notes),
    )


@dataclass(slots=True)
class _Search:
    plan: Plan
    fonts: Mapping[str, Font]
    horizon: Horizon
    composer: Composer
    atoms: Sequence[Atom]
    literals: Sequence[str]
    forms: Sequence[LineForm]
    unprintable: Meter
    groups: Groups
    meters: dict[str, Meter] = field(default_factory=dict)

    def instant(self, assignment: Assignment) -> Instant:
        """An assignment as an instant; what it leaves open takes its first value."""
        whole = self.groups.defaults.joined(assignment)
        when = None
        if self.plan.clocks_read():
            minute = self.horizon.minutes[0] if whole.minute is None else whole.minute
            when = moment_of(minute, whole.second or 0).astimezone(self.horizon.zone)
        return Instant(when, whole.counters, whole.inputs)

    def timeline(self) -> Timeline:
        """Cells of the horizon to look at clocks in."""
        for group in self.groups.groups:
            if isinstance(group, ClockGroup):
                return group.work.timeline.copy()
        return Timeline(self.plan, *self.horizon.minutes)

    def witness(self, assignment: Assignment) -> Witness:
        """An assignment and what it prints."""
        return witness_at(self.plan, self.instant(assignment))

    def fault(self, instant: Instant, diagnostic: Diagnostic) -> Fault:
        """What keeps an instant from being printed."""
        return Fault(instant, instant_said(self.plan, instant), diagnostic)

    def extreme(
        self,
        name: str,
        window: int,
        profile: LineProfile | None,
        risk: Risk | None,
        faults: list[Fault],
    ) -> Iterator[Extreme]:
        """The extreme of a name; adds what keeps its values from being printed."""
        kind = KINDS[name]
        meter = self.meter("most-drops" if name == "densest" else name, risk)
        found, unsure = self.optimum(meter, kind.sense)
        bounding = [*unsure, *(group.why for group in inexact(self.groups.groups, meter))]
        why = "; ".join(bounding)
        if name == "densest":
            dense = densest(
                self.plan, self.groups.groups, self.atoms, self.forms, self.composer, window, found
            )
            found, why = dense.optimum, dense.why or why
        if found is None:
            return
        witness = self.witness(found.assignment)
        value = found.value / RISK_STEPS if name == "misread-risk" else found.value
        reached = self.measured(meter, witness) if bounding and name != "densest" else None
        if reached == value:  # some value comes to the bound, so it is no mere bound
            why, reached = "", None
        if name == "longest" and value > MAX_STROKES:
            faults += self.refused(witness.instant)
        yield Extreme(
            name,
            kind.title.format(window=window),
            value,
            kind.unit,
            witness,
            exact=not why,
            why=why,
            at_witness=reached,
            converted=converted(name, found.value, profile, self.plan.message.raster),
        )

    def optimum(self, meter: Meter, sense: int) -> tuple[Optimum | None, Sequence[str]]:
        """The most or least of a measure, and why it is only a bound."""
        given = self.groups.groups, meter, literal_vector(meter, self.literals), sense
        try:
            return optimum(*given), ()
        except TooManyVectorsError:
            why = "its lines can have too many lengths beside one another to try them all"
            return bound(*given), (why,)

    def meter(self, name: str, risk: Risk | None) -> Meter:
        """The meter of an extreme, made once."""
        unit = KINDS[name].unit
        if unit not in self.meters:
            if unit == "strokes":
                self.meters[unit] = strokes_meter(self.plan, self.forms, self.composer)
            elif unit == "drops":
                self.meters[unit] = drops_meter(self.plan, self.forms, self.composer)
            elif unit == "characters":
                self.meters[unit] = characters_meter(self.forms)
            else:
                assert risk is not None
                self.meters[unit] = risk_meter(self.forms, risk)
        return self.meters[unit]

    @staticmethod
    def measured(meter: Meter, witness: Witness) -> float:
        """What the lines of a witness come to."""
        value = int(meter.total(literal_vector(meter, witness.lines))[0])
        return value / RISK_STEPS if meter.name == "misread risk" else value

    def faults(self) -> Iterator[Fault]:
        """Values without a text, and values with characters that cannot be printed."""
        for no_print in _first_of_each(self.groups.no_prints):
            yield self.fault(self.instant(no_print.assignment), no_print.diagnostic)
        worst = optimum(
            self.groups.groups,
            self.unprintable,
            literal_vector(self.unprintable, self.literals),
            HIGHEST,
        )
        instant = self.instant(worst.assignment if worst else Assignment())
        if not self.groups.no_prints or (worst and worst.value):
            yield from self.refused(instant)

    def refused(self, instant: Instant) -> list[Fault]:
        """Why the message cannot be laid out at an instant."""
        try:
            lay_out(self.plan.resolve(instant), self.fonts, self.composer)
        except InputError as error:
            return [self.fault(instant, diagnostic) for diagnostic in error.diagnostics]
        return []


def _search(
    plan: Plan,
    fonts: Mapping[str, Font],
    stretch: Horizon,
    composer: Composer,
    progress: Progress,
) -> _Search:
    atoms = take_apart(plan)
    lines = range(len(plan.message.lines))
    literals = [
        "".join(a.text for a in atoms if isinstance(a, Literal) and a.line == line)
        for line in lines
    ]
    forms = line_forms(plan, fonts, composer, literals)
    unprintable = unprintable_meter(forms)
    varying = [atom for atom in atoms if not isinstance(atom, Literal)]
    groups = make_groups(plan, stretch.minutes, varying, forms, unprintable, progress)
    return _Search(plan, fonts, stretch, composer, atoms, literals, forms, unprintable, groups)


def _first_of_each(no_prints: Iterable[NoPrint]) -> Iterator[NoPrint]:
    """The first of those that report the same, in order."""
    seen: set[Diagnostic] = set()
    for no_print in no_prints:
        if no_print.diagnostic not in seen:
            seen.add(no_print.diagnostic)
            yield no_print
