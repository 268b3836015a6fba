"""A message taken apart over a stretch of time, ready to be asked for its extremes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from rasterc.diagnostics import Diagnostic, InputError
from rasterc.domain.atoms import Atom, Literal, take_apart
from rasterc.domain.horizon import Horizon
from rasterc.domain.progress import Progress
from rasterc.domain.timeline import Tracks
from rasterc.domain.weighing import TooManyVectorsError
from rasterc.extremes.clockgroup import ClockGroup
from rasterc.extremes.dategroup import DateGroup
from rasterc.extremes.group import HIGHEST, Assignment
from rasterc.extremes.groups import Groups, NoPrint, make_groups
from rasterc.extremes.kinds import Quantity
from rasterc.extremes.meter import (
    LineForm,
    Meter,
    line_forms,
    unprintable_meter,
)
from rasterc.extremes.model import Fault, Witness, instant_said, witness_at
from rasterc.extremes.optimum import Optimum, bound, literal_vector, optimum
from rasterc.extremes.shapegroup import inexact
from rasterc.fonts.model import Font
from rasterc.layout import Composer, lay_out
from rasterc.values import Instant, Plan
from rasterc.values.dates.offsets import moment_of
from rasterc.values.moved import with_dates

_COMPETING = "its lines can have too many lengths beside one another to try them all"


@dataclass(slots=True)
class Search:
    """The groups of a message's fields, and what is measured of them."""

    plan: Plan
    fonts: Mapping[str, Font]
    horizon: Horizon
    composer: Composer
    atoms: Sequence[Atom]
    literals: Sequence[str]
    forms: Sequence[LineForm]
    unprintable: Meter
    groups: Groups
    _meters: dict[str, Meter] = field(default_factory=dict)

    def instant(self, assignment: Assignment) -> Instant:
        """An assignment as an instant; what it leaves open takes its first value."""
        whole = self.groups.defaults.joined(assignment)
        when = None
        if self.plan.clocks_read():
            minute = self.horizon.minutes[0] if whole.minute is None else whole.minute
            when = moment_of(minute, whole.second or 0).astimezone(self.horizon.zone)
        instant = self.plan.completed(Instant(when, whole.counters, whole.inputs))
        return with_dates(self.plan, instant, assignment.inputs)

    def tracks(self) -> Tracks:
        """The clocks of the message over the horizon."""
        for group in self.groups.groups:
            clocks = group.clocks if isinstance(group, DateGroup) else group
            if isinstance(clocks, ClockGroup):
                return clocks.work.tracks
        return Tracks(self.plan, *self.horizon.minutes)

    def witness(self, assignment: Assignment) -> Witness:
        """An assignment and what it prints."""
        return witness_at(self.plan, self.instant(assignment))

    def meter(self, of: Quantity) -> Meter:
        """The meter of a quantity, made once."""
        if of.name not in self._meters:
            assert of.meter is not None
            self._meters[of.name] = of.meter(self.plan, self.forms, self.composer)
        return self._meters[of.name]

    def optimum(self, meter: Meter, sense: int) -> tuple[Optimum | None, list[str]]:
        """The most or least of a measure, and why it is only a bound."""
        groups = self.groups.groups
        literals = literal_vector(meter, self.literals)
        whys = [group.why for group in inexact(groups, meter)]
        try:
            return optimum(groups, meter, literals, sense), whys
        except TooManyVectorsError:
            return bound(groups, meter, literals, sense), [_COMPETING, *whys]

    def faults(self) -> Iterator[Fault]:
        """Values without a text, and values with characters that cannot be printed."""
        for no_print in _first_of_each(self.groups.no_prints):
            yield self._fault(self.instant(no_print.assignment), no_print.diagnostic)
        worst, _ = self.optimum(self.unprintable, HIGHEST)
        instant = self.instant(worst.assignment if worst else Assignment())
        if not self.groups.no_prints or (worst and worst.value):
            yield from self.refused(instant)

    def is_printable(self) -> bool:
        """Whether it is known of every value that the fonts have its characters."""
        worst, whys = self.optimum(self.unprintable, HIGHEST)
        return not whys or worst is None or worst.value == 0

    def refused(self, instant: Instant) -> list[Fault]:
        """Why the message cannot be laid out at an instant."""
        try:
            lay_out(self.plan.resolve(instant), self.fonts, self.composer)
        except InputError as error:
            return [self._fault(instant, diagnostic) for diagnostic in error.diagnostics]
        return []

    def _fault(self, instant: Instant, diagnostic: Diagnostic) -> Fault:
        return Fault(instant, instant_said(self.plan, instant), diagnostic)


def search_of(
    plan: Plan,
    fonts: Mapping[str, Font],
    stretch: Horizon,
    composer: Composer,
    progress: Progress,
) -> Search:
    """A message over a stretch of time; raises `InputError` as `groups.make_groups`."""
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
    return Search(plan, fonts, stretch, composer, atoms, literals, forms, unprintable, groups)


def _first_of_each(no_prints: Iterable[NoPrint]) -> Iterator[NoPrint]:
    """The first of those that report the same, in order."""
    seen: set[Diagnostic] = set()
    for no_print in no_prints:
        if no_print.diagnostic not in seen:
            seen.add(no_print.diagnostic)
            yield no_print
