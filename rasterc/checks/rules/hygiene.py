"""Is everything in the message of use?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from rasterc.checks.model import FAULTS, Example, Finding, Rule, Subject
from rasterc.checks.silence import covers
from rasterc.diagnostics import Diagnostic, InputError, Severity, Span
from rasterc.source.declarations import Check, Clock, Counter, Input, Shift, Text
from rasterc.source.message import Message

_Declaration = Clock | Shift | Counter | Input | Text | Check
_PLAIN = 'message example { raster 7 font upright-7 block { line: "LOT 7" } '


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
    trips = Example(_PLAIN + "counter case from 1 to 9 }")
    passes = Example(_PLAIN + "}")

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


class EmptyLine(Rule):
    """Lines that print nothing but blanks."""

    id = "empty-line"
    title = "A line prints nothing"
    severity = Severity.WARNING
    rationale = (
        "A line without text takes rows of the raster, and the head's time, and prints nothing. "
        "Usually a field was taken out."
    )
    source = "common practice, no source"
    trips = Example(
        'message example { raster 16 font upright-7 block { line: "LOT 7" line: " " } }'
    )
    passes = Example(
        'message example { raster 16 font upright-7 block { line: "LOT 7" line: "B" } }'
    )

    def of_print(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such line."""
        for line, text in zip(subject.message.lines, subject.resolved.lines, strict=True):
            if not text.strip():
                yield self.finding(
                    subject, "this line prints nothing", line.span, "give it a text, or remove it"
                )


class CannotPrint(Rule):
    """Moments of a year at which the message has no text."""

    id = "cannot-print"
    title = "At some time of the year the message cannot be printed"
    can_be_silenced = False
    rationale = (
        "A table without a row for December works until the 1st of December, and stops the line "
        "then. Moments of a whole year are tried, every month, weekday and hour among them."
    )
    source = "the message itself"
    trips = Example(
        'message example { raster 7 font upright-7 clock packed in "Europe/Dublin" '
        'table month from 1, letters "ABCDEFGHJKL" block { line: "L" packed(yyyy) '
        'packed(M, table month) } expect at 2027-11-25 14:05 { "L2027L" } }'
    )
    passes = Example(trips.message.replace("HJKL", "HJKLM"))

    def proof(self, subject: Subject) -> tuple[str, ...] | None:
        """Known of all values by their extremes."""
        del subject
        return (FAULTS,)

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for each way in which it fails, with the first moment."""
        seen: set[tuple[str, str]] = set()
        for at, fault in subject.year.failures:
            if (fault.code, fault.message) not in seen:
                seen.add((fault.code, fault.message))
                yield self.fails(subject, fault, at)

    def fails(self, subject: Subject, fault: Diagnostic, at: str) -> Finding:
        """The finding for a moment at which the message has no text."""
        help = fault.help or "change the field, or what it reads"
        return replace(self.finding(subject, fault.message, fault.span, help), at=at)


class BadSilence(Rule):
    """`silence` of a rule that does not exist or cannot be silenced."""

    id = "bad-silence"
    title = "A silence names no rule, or one that cannot be silenced"
    can_be_silenced = False
    rationale = (
        "A silence that names no rule silences nothing, now or later. What keeps a message from "
        "being printed, and its own `require` and `expect`, cannot be silenced: change them."
    )
    source = "the message itself"
    trips = Example(_PLAIN + 'silence look-alikes because "the camera reads it" }')
    passes = Example(_PLAIN + "}")

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such silence."""
        from rasterc.checks.registry import find_rule

        for silence in subject.message.silences:
            try:
                rule = find_rule(silence.rule.text)
            except InputError as error:
                fault = error.diagnostics[0]
                yield self.finding(subject, fault.message, silence.rule.span, fault.help)
                continue
            if not rule.can_be_silenced:
                yield self.finding(
                    subject, f'"{rule.id}" cannot be silenced', silence.rule.span,
                    f"take the silence out and put right what {rule.id} finds",
                )  # fmt: skip


class UnusedSilence(Rule):
    """`silence` of a rule that finds nothing at its place."""

    id = "unused-silence"
    title = "A silence silences nothing"
    severity = Severity.NOTE
    can_be_silenced = False
    rationale = (
        "When what was accepted is gone, its silence would hide the next mistake of the kind. "
        "Rules that need a line profile, or that stand in a set the profile does not choose, "
        "find nothing without it: their silences are left alone then."
    )
    source = "common practice, no source"
    trips = Example(_PLAIN + 'silence look-alike because "the camera reads it" }')
    passes = Example(_PLAIN + "}")

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a note for every such silence of a rule that has what it needs to find by."""
        from rasterc.checks.registry import active_rules

        rules = active_rules(subject.profile)
        for silence in subject.message.silences:
            rule = rules.get(silence.rule.text)
            if rule is None or not rule.can_be_silenced:
                continue
            if rule.needs_profile and subject.profile is None:
                continue
            if not any(covers(silence, finding) for finding in rule.check(subject)):
                yield self.finding(
                    subject,
                    f"{rule.id} finds nothing here",
                    silence.span,
                    "take the silence out",
                )


def _declared(message: Message) -> Iterator[tuple[str, str, Span]]:
    kinds: dict[str, Mapping[str, _Declaration]] = {
        "clock": message.clocks, "shift": message.shifts, "counter": message.counters,
        "input": message.inputs, "text": message.texts, "check": message.checks,
    }  # fmt: skip
    for kind, things in kinds.items():
        for name, thing in things.items():
            yield kind, name, thing.span


def _used(message: Message, printed: set[str]) -> set[str]:
    """The names printed, and those that these depend on."""
    used: set[str] = set()
    todo = list(printed)
    while todo:
        name = todo.pop()
        if name in used:
            continue
        used.add(name)
        if clock := message.clocks.get(name):
            todo += [other for other in (clock.base, clock.shift) if other]
        if shift := message.shifts.get(name):
            todo.append(shift.clock)
        if (counter := message.counters.get(name)) and counter.restart_of:
            todo.append(counter.restart_of)
    return used


def _within(inner: Span, outer: Span) -> bool:
    return outer.start <= inner.start and inner.end <= outer.end
