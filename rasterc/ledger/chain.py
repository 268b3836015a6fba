"""Every entry carries the hash of the one before: what was changed, or taken out, is found.

The hash is SHA-256 over the entry's values as text, each with its length before it, in the order
of `COLUMNS`. It is no signature: who rewrites every entry behind a change, and the witness, is not
found.
"""

from __future__ import annotations

from collections.abc import Iterable
from hashlib import sha256

from msgspec import structs

from rasterc.ledger.model import COLUMNS, Draft, Entry, Head


def begin(ledger_id: str) -> Head:
    """The head of a ledger that has no entry."""
    return Head(0, digest([ledger_id]))


def hash_of(entry: Entry) -> str:
    """The hash an entry must have."""
    return digest(getattr(entry, name) for name in COLUMNS if name != "hash")


def digest(values: Iterable[object]) -> str:
    """The SHA-256 of values, none of which can pass into the next; in hexadecimal.

    >>> digest(["ab", 1])[:16] == digest(["a", "b1"])[:16]
    False
    """
    texts = map(str, values)
    return sha256("".join(f"{len(text)}:{text}" for text in texts).encode()).hexdigest()


def entry_of(draft: Draft, head: Head, at: str) -> Entry:
    """The entry behind a head that a draft becomes; ``at`` is the moment, in UTC."""
    series = draft.series
    entry = Entry(
        head.seq + 1, draft.kind, draft.request, series.counter, series.part, series.epoch,
        series.form, series.numbering.encoded(), draft.first, draft.last, draft.job, at,
        head.hash, "",
    )  # fmt: skip
    return structs.replace(entry, hash=hash_of(entry))
