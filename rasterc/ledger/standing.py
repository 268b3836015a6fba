"""What became of the prints of every reservation, and of every series: its holes too."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct, field, structs

from rasterc.ledger.model import Entry, Kind, Range, Series


class Issued(Struct, frozen=True):
    """A reservation: of its prints, how many are confirmed from the first on, how many void.

    ``because`` is why they are void.
    """

    range: Range
    printed: int = 0
    void: int = 0
    because: str = ""

    @property
    def open(self) -> int:
        """Prints of which nobody has said whether they were printed."""
        return self.range.count - self.printed - self.void


class Standing(Struct, frozen=True):
    """A series: what was issued, in order, and the entries that passed prints over."""

    series: Series
    issued: tuple[Issued, ...]
    skipped: tuple[Entry, ...] = ()

    @property
    def prints(self) -> int:
        """Prints that nobody gets any more, from 0 on."""
        return sum(one.range.count for one in self.issued) + sum(e.count for e in self.skipped)


class _Growing(Struct):
    series: Series
    issued: dict[str, Issued] = field(default_factory=dict)
    skipped: list[Entry] = field(default_factory=list)


def range_of(entry: Entry) -> Range:
    """The range that an entry reserved."""
    return Range(
        entry.request, entry.series, entry.first, entry.last, entry.job, entry.at, entry.seq,
        entry.hash,
    )  # fmt: skip


def issued_of(entries: Iterable[Entry]) -> Issued | None:
    """What became of one reservation, by all entries of its request; None without any."""
    found: Issued | None = None
    for entry in entries:
        found = Issued(range_of(entry)) if found is None else _moved_on(found, entry)
    return found


def standings(entries: Iterable[Entry]) -> list[Standing]:
    """Every series of a ledger, by its whole entries in order."""
    series: dict[tuple[str, str, str], _Growing] = {}
    for entry in entries:
        if not entry.counter:
            continue
        key = entry.counter, entry.part, entry.epoch
        growing = series.setdefault(key, _Growing(entry.series))
        if entry.kind == Kind.ADVANCE:
            growing.skipped.append(entry)
        elif entry.kind == Kind.RESERVE:
            growing.issued[entry.request] = Issued(range_of(entry))
        elif entry.request in growing.issued:
            growing.issued[entry.request] = _moved_on(growing.issued[entry.request], entry)
        else:
            raise entry.unfit("it is about a request that reserved nothing")
    return [
        Standing(one.series, tuple(one.issued.values()), tuple(one.skipped))
        for _, one in sorted(series.items())
    ]


def _moved_on(issued: Issued, entry: Entry) -> Issued:
    if entry.kind == Kind.CONFIRM:
        return structs.replace(issued, printed=entry.last - issued.range.first + 1)
    return structs.replace(issued, void=entry.count, because=entry.job)
