"""What a ledger asks of the database that keeps it; both of them answer alike."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Protocol

from rasterc.diagnostics import InputError
from rasterc.ledger.model import Draft, Entry, Head, Refused, Series, Wanted

FORM = 1
"""The form of the tables."""
PAGE = 2_000
"""Entries read at a time."""


class Store(Protocol):
    """A database with the entries of one ledger. Every method is one transaction.

    Raises:
        InputError: it cannot be reached, read or written, is full or damaged; from all methods.
    """

    where: str
    ledger_id: str

    def head(self) -> Head:
        """The last entry."""

    def doubt(self) -> str:
        """Why this may not be the ledger that was last written; "" when nothing says so."""

    def settle(self) -> None:
        """From now on this is the ledger."""

    def reserve(self, wanted: Wanted) -> Entry | Refused:
        """Write down a reservation behind all that are there, or say why not.

        The entry of the same request is given when it is there already, and is not void.
        """

    def append(self, drafts: list[Draft], guard: int) -> list[Entry]:
        """Write down some drafts, all or none; none when the guard says so.

        The guard is the last entry of the request of the first draft; of a draft without a
        request, the last of the ledger.
        """

    def of_request(self, request: str) -> list[Entry]:
        """All that belongs to a reservation, in order."""

    def entry(self, seq: int) -> Entry | None:
        """One entry."""

    def entries(self, after: int = 0) -> Iterator[Entry]:
        """All entries behind one, in order."""

    def issued(self, series: Series) -> int:
        """How many prints of a series, from 0 on, nobody gets any more."""

    def copy(self) -> bytes:
        """The whole ledger as a SQLite file that says of itself that it is a backup."""

    def faults(self) -> list[str]:
        """What the database finds wrong with its own file."""

    def close(self) -> None:
        """Leave it."""


def no_ledger(where: str) -> InputError:
    """The report that there is none."""
    help = f"is the name right? rasterc ledger init --ledger {where} makes a new one"
    return InputError.one("no-ledger", f"there is no ledger {where}", help=help)


def unusable(where: str, why: str, help: str) -> InputError:
    """The report of a ledger that cannot be worked with now."""
    return InputError.one("ledger-unusable", f"cannot use the ledger {where}: {why}", help=help)


def damaged(where: str) -> InputError:
    """The report of a ledger whose tables are not as they were made."""
    said = f"the ledger {where} is damaged: what it holds is not what was written"
    help = "keep the file, put the last backup back, then rasterc ledger advance"
    return InputError.one("ledger-damaged", said, help=help)


def other_form(where: str) -> InputError:
    """The report of a ledger of another release."""
    said = f"the ledger {where} was made by another release of rasterc"
    return InputError.one("ledger-other-release", said, help="use the newer of the two")
