"""Two versions of a message: when they print differently; worked out in a process of its own."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from msgspec import Struct

from rasterc.diagnostics import InputError
from rasterc.page.jobs import Job, codes_of

if TYPE_CHECKING:
    from rasterc.code import Code
    from rasterc.tracing.differences import DiffResult

_MOST_WRITTEN = 40


class Versions(Struct, frozen=True):
    """A draft, and the text that it is held against."""

    draft: Job
    old: str


class Written(Struct, frozen=True):
    """A declaration, line or setting that the versions do not share; "" where it is not there."""

    old: str
    new: str


class Compared(Struct, frozen=True):
    """How two versions differ.

    Attributes:
        same: they print the same over the whole time.
        minutes, days: at how many minutes they differ, and on how many days.
        at: the first moment at which they do; "" when no clock is read, or none is.
        old, new: what they print then.
        faults: why one of them prints nothing then.
        same_look, exact: as `rasterc.tracing.differences.DiffResult`.
        others: counters and inputs that do not take the same values.
        written: what is written differently.
    """

    same: bool
    minutes: int
    days: int
    at: str
    old: tuple[str, ...]
    new: tuple[str, ...]
    faults: tuple[str, ...]
    same_look: bool
    exact: bool
    others: tuple[str, ...]
    written: tuple[Written, ...]


def compare(versions: Versions) -> Compared:
    """When a draft prints otherwise than another text; raises `InputError`."""
    from rasterc.api import diff

    job = versions.draft
    new = _message(codes_of(job.name, job.folder, job.text, job.stamp), job.message)
    old = _message(codes_of(job.name, job.folder, versions.old, job.stamp), job.message)
    return _compared(diff(old, new, job.when, job.years, counters=job.counters, inputs=job.inputs))


def _message(codes: Mapping[str, Code], name: str) -> Code:
    found = codes.get(name) or next(iter(codes.values()), None)
    if found is None:
        raise InputError.one("no-message", "one of the versions holds no message")
    return found


def _compared(result: DiffResult) -> Compared:
    first = result.first
    at = first.at.isoformat() if first and first.at else ""
    return Compared(
        result.same, result.minutes, result.days, at,
        first.old if first else (), first.new if first else (),
        tuple(one.message for one in first.faults) if first else (),
        result.same_look, result.exact, result.other_values,
        tuple(Written(one.old, one.new) for one in result.declared[:_MOST_WRITTEN]),
    )  # fmt: skip
