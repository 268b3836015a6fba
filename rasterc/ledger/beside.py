"""What the lock file of a ledger remembers: the last entry that was written on this computer.

It is written without waiting for the disk and may be deleted: a help for those who put an old
file in the ledger's place and leave the lock file there, where a witness is more than that.
"""

from __future__ import annotations

import os
from contextlib import suppress

from msgspec import Struct

from rasterc.ledger.model import Head

_LONGEST = 400


class Remembered(Struct, frozen=True):
    """The last entry of the ledger ``ledger_id``."""

    ledger_id: str
    head: Head


def remembered(lock: int) -> Remembered | None:
    """What an open lock file remembers; None when it is empty, or anything else."""
    with suppress(OSError, ValueError):
        os.lseek(lock, 0, os.SEEK_SET)
        ledger_id, seq, hash_ = os.read(lock, _LONGEST).decode().split()
        return Remembered(ledger_id, Head(int(seq), hash_))
    return None


def remember(lock: int, ledger_id: str, head: Head) -> None:
    """Have an open lock file remember the last entry, as far as the disk lets it."""
    with suppress(OSError):
        os.lseek(lock, 0, os.SEEK_SET)
        os.write(lock, f"{ledger_id} {head.seq:020} {head.hash}\n".encode())
