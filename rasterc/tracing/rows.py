"""Traces of a message over product tables: those of the messages it is the union of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from rasterc.domain.chosen import MAX_SHOWN
from rasterc.source.declarations import Counter
from rasterc.tracing.matches import CounterRanges, Group, TraceResult
from rasterc.values.plan import Plan


def with_rows(group: Group, plan: Plan) -> Group:
    """A group of a case with what picks its rows, also where no line prints it."""
    names = plan.whole.cases.names if plan.whole and plan.whole.cases else ()
    inputs, counters = {**group.inputs}, {**group.counters}
    for name in names:
        if name in plan.inputs:
            inputs.setdefault(name, _shown(plan.inputs[name].texts))
        else:
            counters.setdefault(name, _values(plan.message.counters[name]))
    return replace(group, inputs=inputs, counters=counters)


def _shown(texts: Sequence[str]) -> tuple[str, ...]:
    return (*texts[:MAX_SHOWN], *(["..."] if len(texts) > MAX_SHOWN else []))


def _values(counter: Counter) -> CounterRanges:
    values = counter.values
    return CounterRanges((values if values.step > 0 else values[::-1],))


def union_of(results: Sequence[TraceResult]) -> TraceResult:
    """The matches of all cases; without any, why the case that came farthest has none."""
    groups = tuple(group for result in results for group in result.groups)
    failures = [result.failure for result in results if result.failure is not None]
    farthest = max(failures, key=lambda failure: (failure.line, failure.place), default=None)
    return replace(
        results[0],
        groups=groups,
        verified=all(result.verified for result in results),
        failure=None if groups else farthest,
    )
