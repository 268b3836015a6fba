"""The entries of a ledger for other programs."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from typing import Any

import msgspec
from msgspec import structs

from rasterc.ledger.model import COLUMNS, Entry

KINDS = (".jsonl", ".csv")
_NUMBERS = ("first_number", "last_number")


def encoded(entries: Iterable[Entry], suffix: str) -> bytes:
    """Every entry, one a line, with the numbers that its first and last print carry.

    Args:
        entries: the entries.
        suffix: one of `KINDS`.
    """
    return (_csv if suffix == ".csv" else _json_lines)(entries)


def _json_lines(entries: Iterable[Entry]) -> bytes:
    return b"".join(msgspec.json.encode(_row(entry)) + b"\n" for entry in entries)


def _csv(entries: Iterable[Entry]) -> bytes:
    """RFC 4180, UTF-8."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow([*COLUMNS, *_NUMBERS])
    writer.writerows(_row(entry).values() for entry in entries)
    return text.getvalue().encode()


def _row(entry: Entry) -> dict[str, Any]:
    numbering, any_ = entry.numbering, entry.last >= entry.first
    numbers = [numbering.text(at) if any_ else "" for at in (entry.first, entry.last)]
    return {**structs.asdict(entry), **dict(zip(_NUMBERS, numbers, strict=True))}
