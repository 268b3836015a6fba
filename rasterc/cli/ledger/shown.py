"""What `rasterc ledger` says of reservations and series, as text and as documents."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from rasterc.ledger.book import Ledger
from rasterc.ledger.model import NO_END, Entry, Numbering, Series
from rasterc.ledger.standing import Issued, Standing

_SHOWN = 20


def head_part(ledger: Ledger) -> dict[str, Any]:
    """The head of a ledger."""
    head = ledger.head()
    return {"id": ledger.ledger_id, "seq": head.seq, "hash": head.hash}


def series_part(series: Series) -> dict[str, Any]:
    """Where prints are counted."""
    return {"counter": series.counter, "part": series.part, "epoch": series.epoch}


def prints_part(numbering: Numbering, first: int, last: int) -> dict[str, Any]:
    """Prints and their numbers."""
    return {
        "first": first, "last": last, "count": last - first + 1,
        "first_number": numbering.number(first), "last_number": numbering.number(last),
        "first_text": numbering.text(first), "last_text": numbering.text(last),
    }  # fmt: skip


def reserved_part(issued: Issued) -> dict[str, Any]:
    """A reservation, and what became of it."""
    held = issued.range
    return {
        "request": held.request, "job": held.job, "at": held.at, "seq": held.seq,
        "prints": prints_part(held.series.numbering, held.first, held.last),
        "printed": issued.printed, "void": issued.void, "open": issued.open,
        "because": issued.because,
    }  # fmt: skip


def standing_part(standing: Standing) -> dict[str, Any]:
    """A series, and what became of its prints."""
    return {
        "series": series_part(standing.series), "issued": standing.prints,
        **_sums(standing),
        "skipped": [
            {
                "prints": prints_part(one.numbering, one.first, one.last), "reason": one.job,
                "at": one.at,
            }
            for one in standing.skipped if one.count
        ],
        "reserved": [reserved_part(one) for one in standing.issued],
    }  # fmt: skip


def left_in(ledger: Ledger, series: Series) -> int | None:
    """Prints that are left in a series; None when it has no end."""
    return None if series.limit >= NO_END else series.limit - ledger.issued(series)


def span(numbering: Numbering, first: int, last: int) -> str:
    """The numbers of prints in words.

    >>> span(Numbering(), 4, 4), span(Numbering(repeat=2), 1, 4)
    ('5', '1 (2 of 2) to 3 (1 of 2)')
    """
    one, other = _number(numbering, first), _number(numbering, last)
    return one if first == last else f"{one} to {other}"


def _number(numbering: Numbering, print_: int) -> str:
    text, repeat = numbering.text(print_), numbering.repeat
    return text if repeat == 1 else f"{text} ({print_ % repeat + 1} of {repeat})"


def issued_lines(issued: Issued) -> Iterator[str]:
    """A reservation and what became of it."""
    held = issued.range
    numbers = span(held.series.numbering, held.first, held.last)
    yield f"{held.series.name}: {numbers}, {prints(held.count)} for {held.job}"
    yield f"  {became(issued)}"


def became(issued: Issued) -> str:
    """What became of the prints of a reservation, in words."""
    parts = [
        f"{issued.printed:,} printed" if issued.printed else "",
        f"{issued.void:,} void ({issued.because})" if issued.void else "",
        f"{issued.open:,} open" if issued.open else "",
    ]
    return ", ".join(filter(None, parts))


def standing_lines(standing: Standing, whole: bool) -> Iterator[str]:
    """A series, its holes, and what is open; all reservations when ``whole``."""
    sums = _sums(standing)
    words = [f"{sums[name]:,} {name}" for name in ("printed", "void", "open") if sums[name]]
    skipped = sum(one.count for one in standing.skipped)
    words += [f"{skipped:,} passed over"] * bool(skipped)
    yield f"{standing.series.name}: {prints(standing.prints)} issued, {', '.join(words)}"
    shown = [one for one in standing.issued if whole or one.open or one.void]
    for one in shown[: None if whole else _SHOWN]:
        held = one.range
        numbers = span(held.series.numbering, held.first, held.last)
        yield f"  {numbers}: {became(one)}; {held.job}, {held.at[:16]}Z"
        if one.open or whole:
            yield f"    request {held.request}"
    if len(shown) > _SHOWN and not whole:
        yield f"  and {len(shown) - _SHOWN:,} more: --all shows them"
    yield from (_skipped(one) for one in standing.skipped if one.count)


def _skipped(entry: Entry) -> str:
    numbers = span(entry.numbering, entry.first, entry.last)
    return f"  {numbers}: passed over; {entry.job}, {entry.at[:16]}Z"


def _sums(standing: Standing) -> dict[str, int]:
    return {
        "printed": sum(one.printed for one in standing.issued),
        "void": sum(one.void for one in standing.issued),
        "open": sum(one.open for one in standing.issued),
    }


def prints(count: int) -> str:
    """So many prints, in words."""
    return f"{count:,} print{'' if count == 1 else 's'}"


def entries(count: int) -> str:
    """So many entries, in words."""
    return f"{count:,} entr{'y' if count == 1 else 'ies'}"
