"""What is said when numbers are not issued, and what to do about it."""

from __future__ import annotations

from rasterc.diagnostics import InputError
from rasterc.ledger.model import Entry, Refused, Series, Wanted, Why
from rasterc.ledger.standing import Issued


def refusal(refused: Refused, wanted: Wanted) -> InputError:
    """Why a reservation was refused."""
    if refused.why is Why.ENDED:
        return _ended(wanted, refused.issued)
    assert refused.entry is not None
    return _OF[refused.why](wanted.series, refused.entry)


def _ended(wanted: Wanted, issued: int) -> InputError:
    left = max(0, wanted.series.limit - issued)
    said = (
        f"{wanted.series.name} has {left:,} of its {wanted.series.limit:,} prints left, "
        f"not {wanted.count:,}"
    )
    less = f"reserve {left:,} of them, or " if left else ""
    help = f"{less}wait for its restart, or give the counter a higher last value or at end wrap"
    return InputError.one("counter-ended", said, help=help)


def _form(series: Series, entry: Entry) -> InputError:
    said = (
        f"counter {series.counter} goes by {series.form or 'nothing'}; until now it went by "
        f"{entry.form or 'nothing'}: its numbers could come twice"
    )
    help = "give it its old restart and --per again, or a name of its own with --as"
    return InputError.one("counter-otherwise", said, help=help)


def _rule(series: Series, entry: Entry) -> InputError:
    said = (
        f"{series.name} counts otherwise than when its numbers were reserved before: "
        "some of them could come twice"
    )
    help = (
        f"declare it as it was ({entry.numbering}), wait for its restart, or give it a name of "
        "its own with --as"
    )
    return InputError.one("counter-otherwise", said, help=help)


def _earlier(series: Series, entry: Entry) -> InputError:
    said = (
        f"{series.name} lies before {entry.epoch}, for which numbers were reserved already: "
        "the clock was set back"
    )
    help = (
        "set the clock right; if this earlier day is meant, say so with --at (earlier=True); if "
        "the later one was a mistake, void what was reserved for it"
    )
    return InputError.one("clock-set-back", said, help=help)


def _closed(series: Series, entry: Entry) -> InputError:
    said = (
        f"{series.name} lies before {entry.epoch}, to which the ledger was advanced: what was "
        f"issued before that is not known ({entry.job})"
    )
    help = "print it with a later moment, or with numbers under a name of their own (--as)"
    return InputError.one("series-closed", said, help=help)


def _void(_: Series, entry: Entry) -> InputError:
    said = f"what request {entry.request} got of {entry.series.name} was declared void"
    help = "ask with a new --request; parts that a batch has left go with the old one: delete them"
    return InputError.one("request-void", said, help=help)


_OF = {
    Why.VOID: _void,
    Why.FORM: _form,
    Why.RULE: _rule,
    Why.EARLIER: _earlier,
    Why.CLOSED: _closed,
}


def in_doubt(where: str, why: str) -> InputError:
    """The report of a ledger that may lack what was issued last."""
    said = f"the ledger {where} may not be the newest: {why}; numbers could be issued twice"
    help = (
        "put the newest file back; else find the last numbers that were printed, and say so: "
        "rasterc ledger advance --help"
    )
    return InputError.one("ledger-restored", said, help=help)


def request_used(entry: Entry) -> InputError:
    """The report of one request for two things."""
    said = f"request {entry.request} got {entry.count:,} prints of {entry.series.name} before"
    help = "ask for the same again, or with a new --request"
    return InputError.one("request-used", said, help=help)


def unknown_request(request: str) -> InputError:
    """The report of a request that reserved nothing."""
    said = f"nothing was reserved by request {request}"
    return InputError.one("no-such-request", said, help="rasterc ledger list --all shows them")


def cannot_confirm(issued: Issued, printed: int) -> InputError:
    """The report of a confirmation that cannot be true."""
    name, count = issued.range.series.name, issued.range.count
    if printed > count:
        said, help = f"{printed:,} printed of {name}: only {count:,} were reserved", "count again"
    elif printed <= issued.printed:
        said = f"{printed:,} printed of {name}: {issued.printed:,} are confirmed already"
        help = "the count goes from the first print of the reservation on, and only grows"
    else:
        said = f"{issued.void:,} prints of {name} are void ({issued.because}): none is confirmed"
        help = "if they were printed, the products carry numbers that count as not used"
    return InputError.one("cannot-confirm", said, help=help)


def nothing_to_void(issued: Issued) -> InputError:
    """The report of a reservation with nothing left to void."""
    said = f"all {issued.range.count:,} prints of {issued.range.series.name} are confirmed"
    return InputError.one("cannot-void", said, help="nothing is left that could be void")


def contended() -> InputError:
    """The report of a change that others always come before."""
    said = "other programs change the same reservation all the time"
    return InputError.one("busy", said, help="try again")
