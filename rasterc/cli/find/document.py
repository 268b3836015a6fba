"""What `rasterc find` found, for machines."""

from __future__ import annotations

from datetime import datetime
from itertools import islice
from typing import TYPE_CHECKING

from msgspec import structs

from rasterc.cli.matches import match_part
from rasterc.cli.times import iso
from rasterc.domain.count import MANY, Count

if TYPE_CHECKING:
    from rasterc.search import FindResult, Hit, Unsure

_LISTED = 1000  # matches of a message


def document(result: FindResult, plant: str, now: datetime) -> dict[str, object]:
    """The document of a result."""
    first, until = result.window
    return {
        "plant": plant,
        "texts": list(result.texts),
        "parts": result.parts,
        "messages": result.messages,
        "from": iso(first),
        "until": iso(until),
        "found": [_found(hit, now) for hit in result.hits],
        "unsure": list(map(_unsure, result.unsure)),
        "closest": [_found(hit, now) for hit in result.closest],
    }


def _found(hit: Hit, now: datetime) -> dict[str, object]:
    number, exact = hit.combinations
    said = Count(number).said + ("" if exact else " or more")
    return {
        "message": hit.message,
        "file": str(hit.file),
        "on": list(hit.on),
        "lines": list(hit.where),
        "zone": hit.result.zone.key if hit.result.zone else None,
        "count": len(hit.result),
        "minutes": hit.result.minutes,
        "combinations": number if exact and number < MANY else None,
        "combinations_said": said,
        "verified": hit.result.verified,
        "matches": [match_part(match) for match in islice(hit.nearest(now), _LISTED)],
        "misread": None if hit.misread is None else structs.asdict(hit.misread),
    }


def _unsure(one: Unsure) -> dict[str, object]:
    return {"message": one.message, "file": str(one.file), "on": list(one.on), "why": one.why}
