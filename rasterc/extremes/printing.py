"""What some texts of a message print, and what their counters tell."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from rasterc.diagnostics import InputError
from rasterc.domain.atoms import Atom, Kind, Literal, Variable, Varying, Whole
from rasterc.domain.horizon import Horizon
from rasterc.domain.progress import Progress
from rasterc.extremes.group import Assignment
from rasterc.extremes.listgroup import text_of
from rasterc.extremes.rounds import SHOWN_IN_PART, round_of
from rasterc.extremes.sight import Sight
from rasterc.extremes.stretches import restart_keys
from rasterc.extremes.variables import Domain, domains_of, shows_whole
from rasterc.source.declarations import AtEnd, Counter
from rasterc.values import Instant, Places, Plan
from rasterc.values.dates.offsets import moment_of
from rasterc.values.moment import Moment
from rasterc.values.moved import with_dates

_ASCII = tuple(map(chr, range(0x20, 0x7F)))


@dataclass(slots=True)
class Printing:
    """Some texts of a message over a stretch of time.

    Attributes:
        progress: told what is being done.
        varying: the atoms of the texts that vary.
        domains: what the counters and inputs among them can be.
    """

    plan: Plan
    horizon: Horizon
    texts: Sequence[tuple[Atom, ...]]
    progress: Progress
    varying: list[Varying] = field(init=False)
    domains: Mapping[Variable, Domain] = field(init=False)

    def __post_init__(self) -> None:
        self.varying = [a for text in self.texts for a in text if not isinstance(a, Literal)]
        self.domains = domains_of(self.plan, self.varying, lambda _: _ASCII, self.horizon.minutes)

    def once(self) -> list[Counter]:
        """Counters that stop at their end, of which every value is printed differently."""
        return [
            counter
            for counter in self.plan.message.counters.values()
            if counter.at_end is AtEnd.STOP and self.is_told(counter)
        ]

    def is_told(self, counter: Counter) -> bool:
        """Whether every value is printed differently."""
        variable = Variable(Kind.COUNTER, counter.name)
        if variable not in self.domains:
            return False
        found = round_of(self.plan, counter, self.varying, self.domains[variable].words)
        return found is None or found.why != SHOWN_IN_PART

    def pins(self, counter: Counter, but: Collection[Varying]) -> bool:
        """Whether the text of all atoms but these tells the value of such a counter."""
        variable = Variable(Kind.COUNTER, counter.name)
        mine = [a for a in self.varying if isinstance(a, Whole) and a.reads == {variable}]
        whole = [atom for atom in mine if shows_whole(counter, atom.field)]
        if whole:
            return any(atom not in but for atom in whole)
        return not any(atom in but for atom in mine)

    def is_endless(self, counter: Counter) -> bool:
        """Whether a counter has no restart, or one that never comes."""
        if counter.restart_of is None:
            return True
        shift = self.plan.schedules.get(counter.restart_of)
        clock = counter.restart_of if shift is None else shift.shift.clock
        return self.plan.clocks[clock].root.zone is None

    def key(self, seen: Sight, counter: Counter) -> NDArray[np.int64]:
        """What changes when a counter restarts, in each cell."""
        if self.is_endless(counter):
            return np.zeros(len(seen.work.timeline), dtype=np.int64)
        return restart_keys(seen.work.timeline, counter)

    def instant(self, minute: int, assignment: Assignment) -> Instant:
        """An assignment at a minute; inputs that it leaves open take their first text."""
        firsts = {
            v.name: next(iter(d.words.texts()), "")
            for v, d in self.domains.items()
            if v.kind is Kind.INPUT and v.name not in assignment.inputs
        }
        when = moment_of(minute).astimezone(self.horizon.zone) if self.plan.clocks else None
        instant = Instant(when, assignment.counters, {**firsts, **assignment.inputs})
        return with_dates(self.plan, self.plan.completed(instant), assignment.inputs)

    def printed(self, instant: Instant) -> list[str] | None:
        """The texts at an instant; None when there are none."""
        moment = Moment(self.plan, instant, Places())
        try:
            return [
                "".join(a.text if isinstance(a, Literal) else text_of(a, moment) for a in text)
                for text in self.texts
            ]
        except InputError:
            return None
