"""Clocks, shifts, counters, inputs, texts and checks that are never printed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.checks.rules.message.examples import PLAIN
from rasterc.diagnostics import Severity, Span
from rasterc.source.declarations import Check, Counter, Input, Text
from rasterc.source.message import Message
from rasterc.source.times import Clock, Shift

_Declaration = Clock | Shift | Counter | Input | Text | Check


class UnusedDeclaration(Rule):
    """Clocks, shifts, counters, inputs, texts and checks that are never printed."""

    id = "unused-declaration"
    title = "Something is declared and never printed"
    severity = Severity.WARNING
    rationale = (
        "A counter or an input that no line prints was most likely forgotten in a line, or left "
        "behind when one was changed. Declarations taken from other files are left alone."
    )
    source = "common practice, no source"
    trips = Example(PLAIN + "counter case from 1 to 9 }")
    passes = Example(PLAIN + "}")

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every declaration that nothing printed depends on."""
        message = subject.message
        used = _used(message, {field.name for field in subject.plan.fields})
        for kind, name, span in _declared(message):
            inside = span.source is message.span.source and _within(span, message.span)
            if inside and name not in used:
                yield self.finding(
                    subject,
                    f'{kind} "{name}" is declared and never printed',
                    span,
                    f"print it in a line, or take the declaration out: {kind} {name} ...",
                )


def _declared(message: Message) -> Iterator[tuple[str, str, Span]]:
    kinds: dict[str, Mapping[str, _Declaration]] = {
        "clock": {n: c for n, c in message.clocks.items() if not c.typed},
        "shift": message.shifts, "counter": message.counters,
        "input": message.inputs, "text": message.texts, "check": message.checks,
    }  # fmt: skip
    for kind, things in kinds.items():
        for name, thing in things.items():
            yield kind, name, thing.span


def _used(message: Message, printed: set[str]) -> set[str]:
    """The names printed, and those that these depend on."""
    used: set[str] = set()
    todo = [*printed, *(table.by for table in message.products.values())]
    while todo:
        name = todo.pop()
        if name in used:
            continue
        used.add(name)
        if clock := message.clocks.get(name):
            todo += [other for other in (clock.base, clock.shift) if other]
        if (typed := message.inputs.get(name)) and typed.date:
            todo += [limit.base for limit in typed.date.limits if limit.base]
        if shift := message.shifts.get(name):
            todo.append(shift.clock)
        if (counter := message.counters.get(name)) and counter.restart_of:
            todo.append(counter.restart_of)
    return used


def _within(inner: Span, outer: Span) -> bool:
    return outer.start <= inner.start and inner.end <= outer.end
