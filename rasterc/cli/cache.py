"""`rasterc cache`: what is kept of earlier runs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated

import typer

from rasterc.cli.common import JsonOption, reporting
from rasterc.cli.say import say

if TYPE_CHECKING:
    from rasterc.files.cache import Cache

MEGABYTE = 1 << 20


def cache(
    clear: Annotated[bool, typer.Option("--clear", help="Delete all that is kept.")] = False,
    as_json: JsonOption = False,
) -> None:
    """Say what is kept of earlier runs, or delete it.

    Flights are kept, so that a message that was flown on a head is flown no more; and verdicts, so
    that what did not change is not checked again. Entries that were not used for longest give way
    when there is no more room. It may be deleted at any time. RASTERC_CACHE names another folder;
    with RASTERC_CACHE=off nothing is kept.
    """
    with reporting(as_json) as teller:
        from rasterc.cli.documents.cache import CacheDocument
        from rasterc.files.cache import MOST_BYTES, NAMES, user_cache

        kept = [cache for name in NAMES if (cache := user_cache(name))]
        deleted = sum(cache.clear() for cache in kept) if clear else 0
        counts, sizes = _summed(kept)
        if as_json:
            document = {
                "folder": str(kept[0].folder.parent) if kept else None,
                "most_bytes": MOST_BYTES * len(NAMES),
                "kept": [
                    {"what": what, "entries": counts[what], "bytes": sizes[what]} for what in counts
                ],
                "deleted": deleted,
            }
            teller.document(CacheDocument, document)
            return
        say(*_lines(kept, counts, sizes, deleted if clear else None))


def _summed(kept: Sequence[Cache]) -> tuple[Counter[str], Counter[str]]:
    """Entries and bytes by what they are."""
    counts: Counter[str] = Counter()
    sizes: Counter[str] = Counter()
    entries = (entry for cache in kept for entry in cache.entries())
    for entry in sorted(entries, key=lambda entry: entry.what):
        counts[entry.what] += 1
        sizes[entry.what] += entry.size
    return counts, sizes


def _lines(
    kept: Sequence[Cache], counts: Counter[str], sizes: Counter[str], deleted: int | None
) -> list[str]:
    if not kept:
        return ["nothing is kept: RASTERC_CACHE is off"]
    lines = [] if deleted is None else [f"deleted {deleted} files"]
    total = sizes.total() / MEGABYTE
    most = sum(cache.most_bytes for cache in kept) / MEGABYTE
    lines.append(f"{kept[0].folder.parent}: {counts.total()} entries, {total:.1f} of {most:.0f} MB")
    return lines + [f"  {counts[what]:5} x {what}, {sizes[what] / 1024:.0f} KB" for what in counts]
