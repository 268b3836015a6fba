"""Whether a ledger is whole: its chain, and what the entries say of one another."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct, field

from rasterc.diagnostics import InputError
from rasterc.ledger import chain
from rasterc.ledger.model import Entry, Head, Kind
from rasterc.ledger.standing import Issued, issued_of
from rasterc.ledger.store import Store

_MOST = 20


class Fault(Struct, frozen=True):
    """What is wrong, and at which entry; None when it is of no one entry."""

    seq: int | None
    message: str


class _Read(Struct):
    """What the entries so far come to."""

    head: Head
    ends: dict[tuple[str, str, str], Entry] = field(default_factory=dict)
    issued: dict[str, list[Entry]] = field(default_factory=dict)


def faults_of(store: Store) -> list[Fault]:
    """All that is wrong with a ledger, up to a few.

    That its end was cut off cannot be seen in it: a witness tells.
    """
    found = [Fault(None, said) for said in store.faults()]
    read = _Read(chain.begin(store.ledger_id))
    for entry in store.entries():
        found += _read_on(entry, read)
        read.head = Head(entry.seq, entry.hash)
        if len(found) >= _MOST:
            break
    return found[:_MOST]


def _read_on(entry: Entry, read: _Read) -> list[Fault]:
    try:
        return [Fault(entry.seq, said) for said in _of_entry(entry, read)]
    except InputError as error:
        return [Fault(None, one.message) for one in error.diagnostics]


def _of_entry(entry: Entry, read: _Read) -> Iterator[str]:
    if entry.seq != read.head.seq + 1:
        yield f"entries {read.head.seq + 1} to {entry.seq - 1} are missing"
    if entry.previous != read.head.hash:
        yield "it does not follow the entry before it"
    if entry.hash != chain.hash_of(entry):
        yield "it was changed after it was written"
    if entry.kind in (Kind.CONFIRM, Kind.VOID):
        yield from _of_event(entry, read)
    elif entry.counter:
        yield from _of_issue(entry, read)


def _of_issue(entry: Entry, read: _Read) -> Iterator[str]:
    """Prints must go on behind those before, each once."""
    key = entry.counter, entry.part, entry.epoch
    before = read.ends.get(key)
    expected = before.last + 1 if before else 0
    least = entry.first - (entry.kind == Kind.ADVANCE)  # an advance may pass over nothing
    if entry.first != expected or entry.last < least:
        yield f"its prints {entry.first} to {entry.last} do not go on at {expected}"
    read.ends[key] = entry
    if entry.kind == Kind.RESERVE:
        if entry.request in read.issued:
            yield f"request {entry.request} has two reservations"
        read.issued[entry.request] = [entry]


def _of_event(entry: Entry, read: _Read) -> Iterator[str]:
    """Prints of a reservation are confirmed from the first on, or void from there to the last."""
    entries = read.issued.get(entry.request)
    if entries is None:
        yield f"it is about request {entry.request}, which reserved nothing"
        return
    issued = issued_of(entries)
    assert issued is not None
    if not (_confirms if entry.kind == Kind.CONFIRM else _voids)(entry, issued):
        yield f"its prints {entry.first} to {entry.last} do not fit their reservation"
    entries.append(entry)


def _confirms(entry: Entry, issued: Issued) -> bool:
    first, last = issued.range.first, issued.range.last
    fits = entry.first == first and first + issued.printed <= entry.last <= last
    return fits and not issued.void


def _voids(entry: Entry, issued: Issued) -> bool:
    first = issued.range.first + issued.printed
    return not issued.void and entry.first == first <= entry.last == issued.range.last
