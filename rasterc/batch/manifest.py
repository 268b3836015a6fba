"""The manifest of a job: what went in, and what came of it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import msgspec

from rasterc.batch.outcome import Outcome
from rasterc.batch.work import Job


def manifest_of(job: Job, outcome: Outcome) -> dict[str, Any]:
    """What went into a job and what came of it, as plain values."""
    stop = outcome.stop
    unique = {"how": "proved", "why": job.proof} if job.proof else {"how": "compared", "why": ""}
    if job.repeats_allowed:
        unique = {"how": "not looked for", "why": "codes may repeat"}
    return {
        "went_in": dict(job.went_in),
        "ledger": _head(job.went_in),
        "rows": outcome.rows,
        "refused": outcome.refused,
        "one_by_one": outcome.one_by_one,
        "stop": None if stop is None else {"row": stop.row + 1, "counter": stop.counter.name},
        "unique": unique,
        "parts": [
            {
                "first_row": part.first + 1,
                "rows": part.rows,
                "refused": part.refused,
                "files": msgspec.to_builtins(part.files),
            }
            for part in outcome.parts
        ],
    }


def _head(went_in: Mapping[str, Any]) -> dict[str, Any] | None:
    """The ledger's last entry that numbered the job: a witness of it. None without a ledger."""
    told = went_in.get("asked", {}).get("ledger")
    if told is None:
        return None
    last = max(told["held"], key=lambda held: held["seq"])
    return {"id": told["id"], "seq": last["seq"], "hash": last["hash"]}
