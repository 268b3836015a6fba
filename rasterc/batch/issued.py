"""The counters of a job as a ledger numbers them: reserved before the first row."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

import numpy as np
from msgspec import Struct

from rasterc.batch.counting import Stretches
from rasterc.batch.rows import moment_at
from rasterc.batch.source import Counted
from rasterc.diagnostics import InputError
from rasterc.ledger.declared import series_of
from rasterc.ledger.model import Range, Series
from rasterc.values import Instant, Plan
from rasterc.values.fields.kinds import CounterText

MOST_SERIES = 1000
"""Series of one job: from restart to restart, of all its counters."""

Take = Callable[[Series, int, str], Range]
"""Reserves so many prints of a series by a request."""


class Held(Struct, frozen=True):
    """What a ledger issued for some rows of a job.

    Attributes:
        counter: of the message.
        row: the first of the rows, from 1.
        count: how many.
        first: the first print, counted from 0 in its series.
        first_text, last_text: the numbers of the first row and of the last, in digits.
        series: where they are counted, in words.
        request: what the reservation is known by.
        seq, hash: the ledger's entry.
    """

    counter: str
    row: int
    count: int
    first: int
    first_text: str
    last_text: str
    series: str
    request: str
    seq: int
    hash: str


def printed_counters(plan: Plan) -> list[str]:
    """The counters that a message prints."""
    sources = (field.source for field in plan.fields)
    names = {source.counter.name for source in sources if isinstance(source, CounterText)}
    return [name for name in plan.message.counters if name in names]


def issue(
    plan: Plan, source: Counted, per: Sequence[str], request: uuid.UUID, take: Take
) -> tuple[Counted, list[Held]]:
    """The same rows with the numbers that a ledger issues, and what was issued.

    Counters that are not printed are left out: none of them can stop the job.

    Args:
        plan: the message.
        source: its rows, as they would be numbered from the counters' first numbers on.
        per: inputs each text of which counts apart.
        request: of the job: asked again with it, the same numbers come.
        take: reserves.

    Raises:
        InputError: the message prints no counter, restarts too often, or a reservation is refused.
    """
    names = printed_counters(plan)
    if not names:
        said = f"message {plan.message.name} prints no counter that a ledger could number"
        raise InputError.one("no-counter", said, help="leave --ledger out, or print a counter")
    _refuse_many(source, names)
    stretches, held = dict[str, Stretches](), list[Held]()
    for name in names:
        found = [*_issued(plan, source, name, per, request, take)]
        held += found
        before = np.array([one.first for one in found], np.int64)
        stretches[name] = replace(source.stretches[name], before=before)
    return replace(source, stretches=stretches), held


def _refuse_many(source: Counted, names: Sequence[str]) -> None:
    count = sum(len(source.stretches[name].starts) for name in names)
    if count > MOST_SERIES:
        said = f"the counters restart {count:,} times in this job"
        help = f"make jobs of at most {MOST_SERIES:,} restarts"
        raise InputError.one("too-many-series", said, help=help)


def _issued(
    plan: Plan, source: Counted, name: str, per: Sequence[str], request: uuid.UUID, take: Take
) -> Iterator[Held]:
    stretches, pace = source.stretches[name], source.pace
    lengths = stretches.lengths(source.asked)
    for row, count in zip(stretches.starts.tolist(), lengths.tolist(), strict=True):
        when = None if pace.start is None else moment_at(pace.at(row))
        series = series_of(plan, name, Instant(when, {}, source.inputs), per=per)
        held = take(series, count, str(uuid.uuid5(request, f"{name} {row}")))
        first, last = (series.numbering.text(at) for at in (held.first, held.last))
        yield Held(
            name, row + 1, count, held.first, first, last, series.name, held.request, held.seq,
            held.hash,
        )  # fmt: skip
