"""Typed dates moved to days that they may be at another moment."""

from __future__ import annotations

from collections.abc import Collection

from msgspec import structs

from rasterc.diagnostics import InputError
from rasterc.values.model import Instant
from rasterc.values.plan import Plan


def with_dates(plan: Plan, instant: Instant, but: Collection[str] = ()) -> Instant:
    """An instant at which every typed date, but those of these names, is moved to the nearest day
    that it may be; those that are not given to the first. What cannot be moved stays."""
    texts = dict(instant.inputs)
    for name, date in plan.dates.items():
        if name in but:
            continue
        try:
            first, last = plan.at(instant).days(name)
        except InputError:
            continue  # told of when the message is resolved
        given = date.day(texts[name]) if name in texts else None
        if first <= last:
            texts[name] = date.text(first if given is None else min(max(given, first), last))
    return structs.replace(instant, inputs=texts)


def ends_of_dates(plan: Plan, instant: Instant) -> list[Instant]:
    """An instant with all typed dates on the first, and on the last day that they may be."""
    ends = {name: plan.at(instant).days(name) for name in plan.dates}
    moved = [
        {name: plan.dates[name].text(days[which]) for name, days in ends.items()}
        for which in (0, 1)
    ]
    return [structs.replace(instant, inputs={**instant.inputs, **texts}) for texts in moved]
