"""The counters of a job as a ledger numbers them: reserved before the first row."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import datetime

import numpy as np
from msgspec import Struct

from rasterc.batch.counting import Stretches, row_keys
from rasterc.batch.given import Given
from rasterc.batch.parts import BLOCK
from rasterc.batch.rows import moment_at
from rasterc.batch.source import Counted, Told
from rasterc.batch.times import MINUTE
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
    _refuse_none(plan, names)
    _refuse_many(source, names)
    stretches, held = dict[str, Stretches](), list[Held]()
    for name in names:
        found = [*_issued(plan, source, name, per, request, take)]
        held += found
        before = np.array([one.first for one in found], np.int64)
        stretches[name] = replace(source.stretches[name], before=before)
    return replace(source, stretches=stretches), held


def issue_rows(
    plan: Plan, source: Given, per: Sequence[str], request: uuid.UUID, take: Take
) -> tuple[Given, list[Held]]:
    """The same for rows of data: counters that have no column are numbered by the ledger.

    The data is read once to count its rows; all of them must lie in one series of each counter.

    Args:
        plan, per, request, take: see `issue`.
        source: the rows, with counters from their first numbers on.

    Raises:
        InputError: as `issue`; or the data cannot be read, a counter restarts or ends in it, or
            inputs of ``per`` have columns.
    """
    columns = next((chunk.columns for chunk in source.chunks()), {})
    names = [name for name in printed_counters(plan) if name not in columns]
    _refuse_none(plan, names)
    for one in per:
        if one in columns:
            said = f"--per {one}: the rows have a column of that name, a job has one series"
            raise InputError.one("bad-option", said, help="make a job of the rows of each text")
    count, first = _one_series(plan, source, names)
    held = []
    for name in names:
        series = series_of(plan, name, Instant(first, {}, source.inputs), per=per)
        held.append(_held(name, 0, take(series, count, _of(request, name, 0))))
    return replace(
        source, before={**source.before, **{one.counter: one.first for one in held}}
    ), held


def _one_series(plan: Plan, source: Given, names: Sequence[str]) -> tuple[int, datetime | None]:
    """How many rows there are, and the moment of the first; they lie in one series."""
    keys: dict[str, set[tuple[int, ...]]] = {name: set() for name in names}
    count, first = 0, None
    for told in source.told(0, BLOCK):
        if told.stop is not None:
            said = f"row {told.stop.row + 1:,} lies past the end of {told.stop.counter.name}"
            raise InputError.one("counter-ended", said, help="give fewer rows")
        count += len(told.rows) + len(told.refused)
        if first is None and len(told.rows):
            first = told.rows.instant(0).when
        for name, known in keys.items():
            known |= _keys(plan, name, told)
            if len(known) > 1:
                said = f"counter {name} restarts within the rows"
                help = "make a job of the rows from one restart to the next"
                raise InputError.one("too-many-series", said, help=help)
    return count, first


def _keys(plan: Plan, name: str, told: Told) -> set[tuple[int, ...]]:
    """What changes among some rows when a counter restarts."""
    counter, at = plan.message.counters[name], told.rows.at
    if at is None or counter.restart_of is None or not len(at):
        return set()
    return set(map(tuple, row_keys(plan, counter, np.unique(at // MINUTE)).T.tolist()))


def _refuse_none(plan: Plan, names: Sequence[str]) -> None:
    if not names:
        said = f"message {plan.message.name} prints no counter that a ledger could number"
        raise InputError.one("no-counter", said, help="leave --ledger out, or print a counter")


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
        yield _held(name, row, take(series, count, _of(request, name, row)))


def _of(request: uuid.UUID, name: str, row: int) -> str:
    """The request of a counter from a row on, of that of a job."""
    return str(uuid.uuid5(request, f"{name} {row}"))


def _held(name: str, row: int, held: Range) -> Held:
    series = held.series
    first, last = (series.numbering.text(at) for at in (held.first, held.last))
    return Held(
        name, row + 1, held.count, held.first, first, last, series.name, held.request, held.seq,
        held.hash,
    )  # fmt: skip
