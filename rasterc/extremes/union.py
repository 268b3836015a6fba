"""The extremes of a message over product tables: those of the messages it is the union of."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import UTC, datetime

from rasterc.domain.words import Count
from rasterc.extremes.model import DateRange, Edge, Extreme, ExtremesReport, Witness


def union_of(reports: Sequence[ExtremesReport]) -> ExtremesReport:
    """One report of all; each witness says with which row.

    The strings of two cases may be the same, so that their number is at most the sum.
    """
    first = reports[0]
    names = dict.fromkeys(e.name for report in reports for e in report.extremes)
    return replace(
        first,
        strings=Count(sum(report.strings.number for report in reports), exact=False),
        extremes=tuple(
            _extreme([r.by_name[name] for r in reports if name in r.by_name]) for name in names
        ),
        dates=tuple(_dates(date for report in reports for date in report.dates)),
        edges=tuple(_edges(edge for report in reports for edge in report.edges)),
        faults=tuple(
            {f.diagnostic: f for r in reversed(reports) for f in reversed(r.faults)}.values()
        )[::-1],
        notes=tuple(dict.fromkeys(note for report in reports for note in report.notes)),
        all_known=all(report.all_known for report in reports),
    )


def _extreme(found: Sequence[Extreme]) -> Extreme:
    """The greatest or least of one measure; exact when no bound of another case goes beyond it."""
    sense = found[0].sense
    best = max(sense * one.value for one in found)
    reaching = [one for one in found if sense * one.value == best]
    exact = [one for one in reaching if one.exact]
    if exact:
        return min(exact, key=lambda one: _order(one.witness))
    nearest = max(found, key=lambda one: sense * _reached(one))
    return replace(reaching[0], witness=nearest.witness, at_witness=_reached(nearest))


def _reached(one: Extreme) -> float:
    """What the witness is known to come to; of a bound that does not tell it, the worst."""
    if one.exact:
        return one.value
    return one.at_witness if one.at_witness is not None else -one.sense * float("inf")


def _order(witness: Witness) -> tuple[datetime, tuple[int, ...], tuple[tuple[int, str], ...]]:
    """As `group.Assignment.order`: by time, then counters, then inputs by length."""
    when = witness.instant.when or datetime.min.replace(tzinfo=UTC)
    texts = tuple((len(text), text) for text in witness.instant.inputs.values())
    return when.astimezone(UTC), tuple(witness.instant.counters.values()), texts


def _dates(ranges: Iterable[DateRange]) -> list[DateRange]:
    """The first and last date of each field, of the cases that print it."""
    found: dict[str, DateRange] = {}
    for one in ranges:
        known = found.setdefault(one.field, one)
        if one.first < known.first:
            known = replace(known, first=one.first, first_witness=one.first_witness)
        if one.last > known.last:
            known = replace(known, last=one.last, last_witness=one.last_witness)
        found[one.field] = known
    return list(found.values())


def _edges(edges: Iterable[Edge]) -> list[Edge]:
    """Edges of each name, the first in time."""
    found: dict[str, Edge] = {}
    for edge in edges:
        known = found.setdefault(edge.name, edge)
        if _order(edge.witness) < _order(known.witness):
            found[edge.name] = edge
    return list(found.values())
