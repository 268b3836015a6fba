"""What may be asked of a ledger: ids, texts and counts that both databases keep as they are."""

from __future__ import annotations

import uuid

from rasterc.diagnostics import InputError
from rasterc.ledger.model import MOST_PRINTS, Wanted

Request = uuid.UUID | str
_LONGEST = 400


def request_of(request: Request) -> str:
    """The id of a request as the ledger keeps it; raises `InputError`."""
    if isinstance(request, uuid.UUID):
        return str(request)
    try:
        return str(uuid.UUID(request))
    except (ValueError, AttributeError, TypeError):
        help = "give a UUID such as 0c8d4f0e-2f5b-4a39-9d0a-5d3d1b7a6c11, or leave it out"
        raise InputError.one("bad-request", f"{request!r} is no request id", help=help) from None


def text_of(what: str, text: str) -> str:
    """A text that both databases keep as it is; raises `InputError`."""
    if isinstance(text, str) and text.isprintable() and text.strip() and len(text) <= _LONGEST:
        return text
    help = f"write 1 to {_LONGEST} characters in one line"
    raise InputError.one("bad-text", f"{what} cannot be {text!r}", help=help)


def refuse_odd(wanted: Wanted) -> None:
    """Refuse what neither database keeps as it is; raises `InputError`."""
    series, count = wanted.series, wanted.count
    for what, text in (("the counter", series.counter), ("the epoch", series.epoch or "-")):
        text_of(what, text)
    text_of("the inputs", series.part or "-")
    if isinstance(count, bool) or not isinstance(count, int) or not 0 < count <= MOST_PRINTS:
        help = f"reserve 1 to {MOST_PRINTS:,}"
        raise InputError.one("bad-count", f"{count!r} prints cannot be reserved", help=help)
