"""What is asked of the table of entries, in SQL that both databases understand."""

from __future__ import annotations

from rasterc.ledger.model import COLUMNS

_ALL = f"select {', '.join(COLUMNS)} from entry"
_ISSUED = "kind in ('reserve', 'advance')"
LAST = f"{_ALL} order by seq desc limit 1"
ENTRY = f"{_ALL} where seq = ?"
PAGE = f"{_ALL} where seq > ? order by seq limit ?"
OF_REQUEST = f"{_ALL} where request = ? order by seq"
LAST_OF_COUNTER = f"{_ALL} where counter = ? and {_ISSUED} order by seq desc limit 1"
NEWEST = (
    f"{_ALL} as e where counter = ? and part = ? and {_ISSUED} and not exists (select 1 from entry "
    "as v where v.request = e.request and v.kind = 'void' and v.first = e.first) "
    "order by epoch desc, last desc limit 1"
)
"""The last of the newest series; what is void from its first print on was a mistake."""
CLOSED = f"{_ALL} where counter = ? and part = ? and kind = 'advance' order by epoch desc limit 1"
LAST_OF_SERIES = (
    f"{_ALL} where counter = ? and part = ? and epoch = ? and {_ISSUED} order by last desc limit 1"
)
