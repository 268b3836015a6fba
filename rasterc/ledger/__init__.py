"""Numbers that are never issued twice: what each job of a plant reserved, and what became of it.

Read `model` first, then `book`, which is the ledger; `declared` leads from a message's counter to
its series. `sqlite` and `postgres` keep the entries, and answer alike (`store`, `queries`); `chain`
ties the entries together; `standing` says what became of the prints, `verify` whether all is
whole; `witness` is what is kept elsewhere.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from rasterc.lazy import lazy_names

if TYPE_CHECKING:
    from rasterc.ledger.book import Ledger
    from rasterc.ledger.declared import series_of
    from rasterc.ledger.model import Entry, Head, Numbering, Range, Series
    from rasterc.ledger.standing import Issued, Standing

__all__ = [
    "Entry",
    "Head",
    "Issued",
    "Ledger",
    "Numbering",
    "Range",
    "Series",
    "Standing",
    "series_of",
]

__getattr__ = lazy_names(
    __name__,
    book="Ledger",
    declared="series_of",
    model="Entry Head Numbering Range Series",
    standing="Issued Standing",
)
