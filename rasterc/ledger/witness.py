"""A witness: what was issued last, kept elsewhere than the ledger.

A ledger that was put back from an older copy knows less than its witness, and is not used. The
witness is a file that each entry renews before its numbers are given away; or the first line of
any output that names the ledger's head.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import suppress
from pathlib import Path

import msgspec
from msgspec import Struct

from rasterc.diagnostics import InputError
from rasterc.files import is_there, read_file, rewrite_file
from rasterc.files.locking import turn
from rasterc.ledger.model import ISSUED, Entry, Head, Numbering, Series
from rasterc.ledger.store import Store

_LIMIT = 64 << 20


class Claim(Struct, frozen=True):
    """A head of a ledger: ``id`` is the ledger's."""

    id: str
    seq: int
    hash: str


class Known(Struct, frozen=True):
    """The last print issued in the newest series of a counter's part."""

    counter: str
    part: str
    epoch: str
    form: str
    rule: str
    last: int


class Testimony(Struct, frozen=True, tag_field="schema", tag="rasterc/ledger-witness/1"):
    """What a witness file says."""

    ledger: Claim
    newest: tuple[Known, ...] = ()


class _Told(Struct, frozen=True):
    """Another file that names a head."""

    ledger: Claim


def read_claim(path: Path) -> Claim:
    """The head that a file names: a witness, or JSON whose first line tells of a ledger.

    Raises:
        InputError: it cannot be read, or names no ledger.
    """
    data = read_file(path, _LIMIT, "the witness")
    for text in (data, data.partition(b"\n")[0]):
        with suppress(msgspec.DecodeError, UnicodeDecodeError):
            return msgspec.json.decode(text, type=_Told).ledger
    raise _no_witness(path)


def doubt(path: Path, store: Store) -> str:
    """Why a ledger may not be the newest, by its witness; "" when nothing says so."""
    if not is_there(path):
        return f"its witness {path} is not there"
    return contradiction(store, _read(path).ledger)


def known(path: Path) -> Iterator[tuple[Series, int]]:
    """What a witness knows of: series, and how many of their prints were issued."""
    for one in _read(path).newest if is_there(path) else ():
        numbering = msgspec.json.decode(one.rule, type=Numbering)
        yield Series(one.counter, one.part, one.epoch, one.form, numbering), one.last + 1


def refuse_there(path: Path) -> None:
    """Refuse to make a witness in place of something, or where none can be."""
    if is_there(path):
        said = f"{path} is there already"
        raise InputError.one("witness-exists", said, help="give the new witness another name")
    with turn(path):
        pass


def refuse_strange(path: Path, store: Store) -> None:
    """Refuse to write over the witness of another ledger."""
    if is_there(path) and _read(path).ledger.id != store.ledger_id:
        said = f"{path} is the witness of another ledger than {store.where}"
        raise InputError.one("no-witness", said, help="give each ledger a witness of its own")


def contradiction(store: Store, claim: Claim) -> str:
    """What in the ledger cannot be if the claim holds; "" when all of it can."""
    if claim.id != store.ledger_id:
        return "its witness is of another ledger"
    head = store.head()
    if head.seq < claim.seq:
        return f"it ends with entry {head.seq:,}, its witness knows of {claim.seq:,}"
    entry = store.entry(claim.seq)
    if entry is not None and entry.hash != claim.hash:
        return f"entry {claim.seq:,} is not the one its witness has seen"
    return ""


def renew(path: Path, store: Store) -> str:
    """Let the witness know what was written since; what contradicts it, then it stays.

    Raises:
        InputError: it cannot be read or written.
    """
    with turn(path):
        old = _read(path)
        said = contradiction(store, old.ledger)
        if not said:
            new = list(store.entries(old.ledger.seq))
            if new:
                _write(path, store, Head(new[-1].seq, new[-1].hash), _folded(old.newest, new))
        return said


def write_witness(path: Path, store: Store) -> None:
    """Make a witness of all that the ledger knows; raises `InputError`."""
    with turn(path):
        head, newest = store.head(), _folded((), store.entries())
        _write(path, store, head, newest)


def _read(path: Path) -> Testimony:
    """What a file says that only `renew` and `write_witness` write."""
    try:
        return msgspec.json.decode(read_file(path, _LIMIT, "the witness"), type=Testimony)
    except (msgspec.DecodeError, UnicodeDecodeError):
        raise _no_witness(path) from None


def _no_witness(path: Path) -> InputError:
    said = f"{path} is no witness of a ledger"
    return InputError.one("no-witness", said, help="name a file of its own with --witness")


def _write(path: Path, store: Store, head: Head, newest: tuple[Known, ...]) -> None:
    told = Testimony(Claim(store.ledger_id, head.seq, head.hash), newest)
    rewrite_file(path, msgspec.json.format(msgspec.json.encode(told)) + b"\n")


def _folded(old: Iterable[Known], entries: Iterable[Entry]) -> tuple[Known, ...]:
    newest = {(one.counter, one.part): one for one in old}
    for entry in entries:
        before = newest.get((entry.counter, entry.part))
        if not entry.counter or entry.kind not in ISSUED:
            continue
        if before is None or (before.epoch, before.last) < (entry.epoch, entry.last):
            newest[entry.counter, entry.part] = Known(
                entry.counter, entry.part, entry.epoch, entry.form, entry.rule, entry.last
            )
    return tuple(newest[key] for key in sorted(newest))
