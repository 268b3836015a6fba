"""Looking for the closest two moments at which one text can print, apart from its runs."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from rasterc.diagnostics import InputError
from rasterc.domain.horizon import Horizon
from rasterc.extremes.atoms import Atom, Kind, Literal, Variable, Varying, Whole
from rasterc.extremes.group import Assignment
from rasterc.extremes.groups import shaper_of
from rasterc.extremes.listgroup import text_of
from rasterc.extremes.overlap import TooManyError
from rasterc.extremes.rounds import SHOWN_IN_PART, round_of
from rasterc.extremes.runs import Entries, Repeat, Stretches
from rasterc.extremes.sight import Sight, seconds_shown, sight
from rasterc.extremes.spellings import Spelling
from rasterc.extremes.stretches import Restarting, restart_keys, stretches_of
from rasterc.extremes.tapegroup import assign
from rasterc.extremes.variables import Domain, domains_of, shows_whole
from rasterc.source.message import AtEnd, Counter, Restart
from rasterc.values import Instant, Places, Plan
from rasterc.values.moment import Moment
from rasterc.values.offsets import moment_of

MAX_ENTRIES = 5_000_000  # stretches that are held against others whose fields touch
MAX_WAYS = 200  # values that are tried for one example
MAX_EXAMPLES = 20  # pairs of moments at which values are tried

_ASCII = tuple(map(chr, range(0x20, 0x7F)))
_SAMPLES = (3660 * 1440, 60 * 1440)  # minutes of shorter searches
_TOUCHING = "fields of varying length stand side by side, and "

Index = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Found:
    """The closest repeat, and how sure that is.

    Attributes:
        repeat: None when none is known; with ``example`` the instants at which the text begins to
            print, prints last and prints again.
        no_sooner: when not ``exact``, minutes within which nothing prints again.
        always: one text prints all the time.
        seconds: runs last a second.
    """

    repeat: Repeat | None = None
    example: tuple[Instant, Instant, Instant] | None = None
    exact: bool = True
    no_sooner: int | None = None
    why: tuple[str, ...] = ()
    never: str = ""
    always: bool = False
    seconds: bool = False


@dataclass(slots=True)
class Recurrences:
    """The search in some texts of a message."""

    plan: Plan
    horizon: Horizon
    texts: Sequence[tuple[Atom, ...]]
    varying: list[Varying] = field(init=False)
    domains: Mapping[Variable, Domain] = field(init=False)

    def __post_init__(self) -> None:
        self.varying = [a for text in self.texts for a in text if not isinstance(a, Literal)]
        self.domains = domains_of(self.plan, self.varying, lambda _: _ASCII)

    def shortest(self) -> Found:
        """The closest two runs of one text."""
        once = self.once()
        also = [c.restart_of for c in once if c.restart_of is not None and not self.is_endless(c)]
        shaper = shaper_of(self.plan, self.horizon.minutes, self.domains)
        seen = sight(self.plan, self.horizon.minutes, self.texts, also, shaper, self.domains)
        free = [*seen.free]
        ended = next((c for c in once if self.is_endless(c) and self.pins(c, free)), None)
        if ended is not None:
            return Found(never=f"counter {ended.name} stops at its end and never starts again")
        if seen.unseen:
            return self.sampled(seen.unseen)
        tied = [atom for atom in seen.free if atom not in seen.alone]
        counters = [Restarting(c, self.key(seen, c), self.pins(c, tied)) for c in once]
        return _Search(self, seen, counters, seconds_shown(self.varying)).shortest()

    def sampled(self, unseen: Sequence[str]) -> Found:
        """What is known when some fields cannot be followed: what prints again within a shorter
        time in which they can."""
        mixes = "cannot be followed over the whole time: it mixes the time with other values"
        why = tuple(f"{name} {mixes}" for name in dict.fromkeys(unseen))
        first, end = self.horizon.minutes
        for minutes in _SAMPLES:
            if minutes < end - first:
                until = moment_of(first + minutes).astimezone(self.horizon.zone)
                part = replace(self, horizon=replace(self.horizon, end=until))
                found = part.shortest()
                if found.repeat is not None:
                    return replace(found, exact=False, why=why, no_sooner=0)
        return Found(exact=False, why=why, no_sooner=0)

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
        if counter.restart is Restart.NEVER or counter.restart_of is None:
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
        return Instant(when, assignment.counters, {**firsts, **assignment.inputs})

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


@dataclass(slots=True)
class _Search:
    whole: Recurrences
    seen: Sight
    counters: Sequence[Restarting]
    seconds: bool
    stretches: Stretches = field(init=False)

    def __post_init__(self) -> None:
        seen = self.seen
        self.stretches = stretches_of(seen.work, seen.days, self.counters, self.seconds)

    def shortest(self) -> Found:
        work, start = self.seen.work, self.whole.horizon.minutes[0]
        if not (work.by_cell or work.by_minute or self.counters or self.seconds):
            here = self.whole.instant(start, Assignment())
            return Found(example=(here, here, here), always=True)
        long = np.flatnonzero(self.stretches.ends - self.stretches.starts > 1)
        if self.seconds and not (work.by_minute or self.stretches.keys) and len(long):
            start = int(self.stretches.starts[long[0]])  # each second comes again a minute later
            return self.checked([Repeat(start, start + 1, start + 1)])
        try:
            return self.checked(self.candidates(self.seen.overlaps.pairs()))
        except TooManyError:
            return self.bounded()

    def bounded(self) -> Found:
        """What is known when it is not known which touching fields print the same: the closest
        that surely do, and the closest of which the other fields agree."""
        stretches = self.stretches
        changes = np.diff(self.seen.row[stretches.cells]) != 0
        loose = replace(stretches, parted=stretches.parted | np.append(True, changes))
        found = loose.closest(self.entries(self.seen.told), self.keys_apart(), stretches.shortest())
        sure = self.checked(self.same())
        if found is None or sure.repeat == found:
            return sure
        why = _TOUCHING + "there is too much that they might print alike"
        return replace(sure, exact=False, no_sooner=found.gap, why=(*sure.why, why))

    def entries(self, of_cells: Index) -> Entries:
        """All stretches, labelled by what their cells have."""
        cells = self.stretches.cells
        return Entries(np.arange(len(cells)), of_cells[cells])

    def same(self) -> Iterator[Repeat]:
        """The closest repeat in which all fields that go by the time print the same, then the
        closest of other texts."""
        found = self.stretches.shortest()
        days, left = self.seen.days, np.arange(len(self.stretches.cells))
        while found is not None:
            yield found
            day = days[self.cell(found.again)]
            left = left[self.stretches.days[left] != day]
            entries = Entries(left, self.stretches.days[left])
            found = self.stretches.closest(entries, self.stretches.keys)

    def candidates(self, pairs: Sequence[tuple[int, int]]) -> Iterator[Repeat]:
        """Repeats as far as touching fields can tell, the closest first, once for each pair of
        rows that may print the same."""
        every, left = self.same(), list(pairs)
        same = next(every, None)
        while left:
            other = self.crossing(np.array(left, dtype=np.intp), same)
            if other is None or other == same:
                break
            yield other
            rows = {self.row(other.first_end - 1), self.row(other.again)}
            left = [pair for pair in left if {*pair} != rows]
        if same is not None:
            yield same
            yield from every

    def crossing(self, pairs: Index, best: Repeat | None) -> Repeat | None:
        """The closest repeat of two different rows, or ``best`` when that is as close.

        ``pairs`` are rows that may print the same, shape (n, 2).
        """
        cells = self.stretches.cells
        order = np.argsort(self.seen.row[cells], kind="stable")
        rows = self.seen.row[cells][order]
        low = np.searchsorted(rows, pairs).ravel()
        counts = np.searchsorted(rows, pairs, "right").ravel() - low
        if int(counts.sum()) > MAX_ENTRIES:
            raise TooManyError
        number = np.repeat(np.arange(len(counts)), counts)
        nth = np.arange(len(number)) - np.repeat(np.cumsum(counts) - counts, counts)
        stretches = order[low[number] + nth]
        told = self.seen.told[cells][stretches]
        labels = (number // 2) * (int(self.seen.told.max()) + 1) + told
        entries = Entries(stretches, labels, number % 2)
        return self.stretches.closest(entries, self.keys_apart(), best)

    def keys_apart(self) -> list[NDArray[np.int64]]:
        """The keys of counters that fields apart from the touching ones tell."""
        cells, free = self.stretches.cells, self.seen.free
        return [c.key[cells] for c in self.counters if self.whole.pins(c.counter, free)]

    def row(self, minute: int) -> int:
        return int(self.seen.row[self.cell(minute)])

    def cell(self, minute: int) -> int:
        return int(np.searchsorted(self.seen.work.timeline.starts, minute, "right")) - 1

    def checked(self, candidates: Iterable[Repeat]) -> Found:
        """The first candidate that is seen to print again; those before it are not refuted."""
        least: int | None = None
        why: tuple[str, ...] = ()
        for repeat in islice(candidates, MAX_EXAMPLES):
            example = self.example(repeat)
            if example is not None:
                exact = least is None or least == repeat.gap
                said = (None, ()) if exact else (least, why)
                return Found(repeat, example, exact, *said, seconds=self.seconds)
            least = repeat.gap if least is None else least
            why = ("no values were found that print the same where it seems possible",)
        return Found(exact=least is None, no_sooner=least, why=why)

    def example(self, repeat: Repeat) -> tuple[Instant, Instant, Instant] | None:
        """Instants of a repeat that print the same; None when none were found."""
        last, again = repeat.first_end - 1, repeat.again
        first = last if self.seconds else repeat.first_start
        for one, other in islice(self.assignments(last, again), MAX_WAYS):
            if self.is_kept_apart(one, other, last, again):
                before = self.whole.instant(last, one)
                after = self.whole.instant(again, other)
                text = self.whole.printed(before)
                if text is not None and text == self.whole.printed(after):
                    return self.whole.instant(first, one), before, after
        return None

    def assignments(self, last: int, again: int) -> Iterator[tuple[Assignment, Assignment]]:
        """Values at both moments that may print the same."""
        one, other = self.row(last), self.row(again)
        if one == other:
            yield from self.alike()
        overlaps = self.seen.overlaps
        if not overlaps.spelled:
            return
        for texts, others in overlaps.ways(one, other):
            mine, theirs = (_assigned(overlaps.spelled, some) for some in (texts, others))
            if mine is not None and theirs is not None:
                yield mine, theirs

    def alike(self) -> Iterator[tuple[Assignment, Assignment]]:
        """The same values at both moments."""
        yield Assignment(), Assignment()
        for variable, domain in self.whole.domains.items():
            for text in islice(domain.words.texts(), 1, MAX_WAYS // 4):
                value = assign(variable, domain.words, text)
                yield value, value

    def is_kept_apart(self, one: Assignment, other: Assignment, last: int, again: int) -> bool:
        """Whether no counter prints a number twice before it has restarted."""
        cells = self.cell(last), self.cell(again)
        for counter in self.counters:
            first = counter.counter.first
            numbers = {a.counters.get(counter.counter.name, first) for a in (one, other)}
            if len(numbers) == 1 and counter.key[cells[0]] == counter.key[cells[1]]:
                return False
        return True


def _assigned(fields: Sequence[Spelling], texts: Sequence[str]) -> Assignment | None:
    """The values that print these texts; None when two fields contradict each other."""
    whole = Assignment()
    for spelled, text in zip(fields, texts, strict=True):
        one = spelled.assigned(text)
        if any(whole.counters.get(name, n) != n for name, n in one.counters.items()):
            return None
        if any(whole.inputs.get(name, t) != t for name, t in one.inputs.items()):
            return None
        whole = whole.joined(one)
    return whole
