"""Looking for the closest two moments at which one text can print, apart from its runs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import islice, permutations

import numpy as np

from rasterc.diagnostics import InputError
from rasterc.domain.atoms import Variable, reads_of
from rasterc.domain.codes import Index
from rasterc.domain.fieldtexts import FieldTexts
from rasterc.extremes.budgets import MAX_ENTRIES, MAX_EXAMPLES, MAX_PAIRED, MAX_TRACED, MAX_WAYS
from rasterc.extremes.group import Assignment
from rasterc.extremes.held import Held
from rasterc.extremes.model_repeats import Found
from rasterc.extremes.overlap import TooManyError
from rasterc.extremes.printing import Printing
from rasterc.extremes.runs import Entries, Repeat, Stretches
from rasterc.extremes.sight import Sight, seconds_shown, sight
from rasterc.extremes.spellings import assigned
from rasterc.extremes.stretches import Restarting, stretches_of
from rasterc.extremes.tapegroup import assign
from rasterc.extremes.variables import Domain
from rasterc.tracing.trace import printing_times
from rasterc.values import Instant
from rasterc.values.dates.offsets import Minutes, moment_of

_SAMPLES = (3660 * 1440, 60 * 1440)  # minutes of shorter searches
_TOUCHING = "fields of varying length stand side by side, and "


def shortest(printing: Printing) -> Found:
    """The closest two runs of one text."""
    once = printing.once()
    printing.progress("following the clocks")
    also = [c.restart_of for c in once if c.restart_of is not None and not printing.is_endless(c)]
    texts = FieldTexts(printing.plan, minutes=printing.horizon.minutes)
    seen = sight(
        printing.plan, printing.horizon.minutes, printing.texts, also, texts, printing.domains
    )
    free = [*seen.free]
    ended = next((c for c in once if printing.is_endless(c) and printing.pins(c, free)), None)
    if ended is not None:
        return Found(never=f"counter {ended.name} stops at its end and never starts again")
    if seen.unseen:
        return _sampled(printing, seen.unseen)
    held = Held.of(printing, seen.free)
    if held.unknown:
        why = "may be typed within limits that go by the time, and is not told by what is printed"
        return Found(exact=False, why=tuple(f"{n} {why}" for n in held.unknown), no_sooner=0)
    tied = [atom for atom in seen.free if atom not in seen.alone]
    counters = [Restarting(c, printing.key(seen, c), printing.pins(c, tied)) for c in once]
    search = _Search(printing, seen, held, counters, seconds_shown(printing.varying))
    return held.settled(search.shortest())


def _sampled(printing: Printing, unseen: Sequence[str]) -> Found:
    """What is known when some fields cannot be followed: what prints again within a shorter
    time in which they can."""
    mixes = "cannot be followed over the whole time: it mixes the time with other values"
    why = tuple(f"{name} {mixes}" for name in dict.fromkeys(unseen))
    first, end = printing.horizon.minutes
    for minutes in _SAMPLES:
        if minutes < end - first:
            until = moment_of(first + minutes).astimezone(printing.horizon.zone)
            part = replace(printing, horizon=replace(printing.horizon, end=until))
            found = shortest(part)
            if found.repeat is not None:
                return replace(found, exact=False, why=why, no_sooner=0)
    return Found(exact=False, why=why, no_sooner=0)


@dataclass(slots=True)
class _Search:
    whole: Printing
    seen: Sight
    held: Held
    counters: Sequence[Restarting]
    seconds: bool
    stretches: Stretches = field(init=False)
    traced: int = 0

    def __post_init__(self) -> None:
        seen = self.seen
        self.whole.progress("looking at the texts of every kind of day")
        self.stretches = stretches_of(
            seen.work, seen.days, seen.hidden, seen.joints, self.counters, self.seconds
        )

    def shortest(self) -> Found:
        work, start = self.seen.work, self.whole.horizon.minutes[0]
        changes = work.by_cell or work.by_minute or self.hides
        if not (changes or self.counters or self.seconds):
            here = self.whole.instant(start, Assignment())
            return Found(example=(here, here, here), always=True)
        long = np.flatnonzero(self.stretches.ends - self.stretches.starts > 1)
        if self.seconds and not (work.by_minute or self.stretches.keys) and len(long):
            start = int(self.stretches.starts[long[0]])  # each second comes again a minute later
            return self.checked([Repeat(start, start + 1, start + 1)])
        if self.leaves_out():
            return self.bounded()
        try:
            return self.checked(self.candidates(self.seen.overlaps.pairs(self.whole.progress)))
        except TooManyError:
            return self.bounded()

    @property
    def hides(self) -> bool:
        """Whether something that cannot be followed changes with time."""
        return self.seen.hidden is not None and bool(self.seen.hidden.any())

    def leaves_out(self) -> bool:
        """Whether inputs among touching fields may have characters of these that are not looked
        at: of an input that may be anything only ASCII is."""
        read = {v for atom in self.seen.free for v in reads_of(atom)}
        domains = [domain for v, domain in self.whole.domains.items() if v in read]
        if not any(domain.note or not domain.words.lengths() for domain in domains):
            return False
        return not all(text.isascii() for row in self.seen.rows for text in row)

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

    def keys_apart(self) -> list[Minutes]:
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
        for number, repeat in enumerate(islice(candidates, MAX_EXAMPLES), 1):
            self.whole.progress(f"trying the {number}. pair of moments")
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
                is_same = text is not None and text == self.whole.printed(after)
                if text is not None and is_same and not self.goes_on(text, last, again):
                    first = self.held.begins(first, last, one.inputs)
                    return self.whole.instant(first, one), before, after
        return None

    def goes_on(self, texts: Sequence[str], last: int, again: int) -> bool:
        """Whether a text may print between two minutes as well, so that they are one run: as rows
        differ, another row may print it then."""
        if len(self.seen.rows) < 2 or self.seconds:
            return False
        self.traced += 1
        if self.traced > MAX_TRACED:
            return True
        try:
            times = printing_times(self.whole.plan, self.whole.texts, texts, last, again + 1)
        except InputError:
            return True
        return int((times[1] - times[0]).sum()) > 2

    def assignments(self, last: int, again: int) -> Iterator[tuple[Assignment, Assignment]]:
        """Values at both moments that may print the same, with dates that may be typed at both."""
        texts = self.held.shared(last, again)
        if texts is not None:
            shared = Assignment(inputs=texts)
            for one, other in self.values(last, again):
                yield shared.joined(one), shared.joined(other)

    def values(self, last: int, again: int) -> Iterator[tuple[Assignment, Assignment]]:
        """Values at both moments that may print the same, but for such dates."""
        one, other = self.row(last), self.row(again)
        if one == other:
            yield from self.alike()
            if self.hides:
                yield from self.unlike()
        overlaps = self.seen.overlaps
        if not overlaps.spelled:
            return
        for texts, others in overlaps.ways(one, other):
            mine, theirs = (assigned(overlaps.spelled, some) for some in (texts, others))
            if mine is not None and theirs is not None:
                yield mine, theirs

    def alike(self) -> Iterator[tuple[Assignment, Assignment]]:
        """The same values at both moments."""
        yield Assignment(), Assignment()
        for variable, domain in self.others():
            for text in islice(domain.words.texts(), 1, MAX_WAYS // 4):
                value = assign(variable, domain.words, text)
                yield value, value

    def others(self) -> Iterator[tuple[Variable, Domain]]:
        """What varies, but for dates that are limited by clocks."""
        found = self.whole.domains.items()
        return (one for one in found if one[0].name not in self.held.windows)

    def unlike(self) -> Iterator[tuple[Assignment, Assignment]]:
        """Two values of a variable, which a field that cannot be followed may print alike."""
        for variable, domain in self.others():
            texts = islice(domain.words.texts(), MAX_PAIRED)
            values = [assign(variable, domain.words, text) for text in texts]
            yield from permutations(values, 2)

    def is_kept_apart(self, one: Assignment, other: Assignment, last: int, again: int) -> bool:
        """Whether no counter prints a number twice before it has restarted."""
        cells = self.cell(last), self.cell(again)
        for counter in self.counters:
            first = counter.counter.first
            numbers = {a.counters.get(counter.counter.name, first) for a in (one, other)}
            if len(numbers) == 1 and counter.key[cells[0]] == counter.key[cells[1]]:
                return False
        return True
