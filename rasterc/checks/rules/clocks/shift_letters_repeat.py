"""Does a shift's letter stand for one part of the day?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.dates import HOURS, marks
from rasterc.diagnostics import Severity
from rasterc.source.times import Shift, ShiftPart
from rasterc.values.fields.kinds import ShiftText

_DAY = 24 * 60


_CREW = 'clock packed in "UTC", day from 06:00\n'


_CREW += 'shift crew of packed {{ "A" from 06:00 "B" from 14:00 "{}" from 22:00 }}\n'


_CREW += 'block {{ line: "LOT " packed(yyDDD) crew }}'


class ShiftLettersRepeat(Rule):
    """Two parts of one day with one letter."""

    id = "shift-letters-repeat"
    title = "Two parts of a day carry the same shift letter"
    severity = Severity.WARNING
    rationale = (
        "With A, B and A again the code of the morning comes back at night: what was made sixteen "
        "hours apart by two crews cannot be told apart in a recall. Quiet where the hour is "
        "printed too."
    )
    source = "common practice, no source"
    trips = example(_CREW.format("A"))
    passes = example(_CREW.format("C"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every printed shift in which a letter comes twice in a day."""
        timed = {mark.clock for mark in marks(subject) if mark.has(HOURS)}
        seen: set[str] = set()
        for field in subject.plan.fields:
            if not isinstance(field.source, ShiftText) or field.source.shift in seen:
                continue
            seen.add(field.source.shift)
            schedule = subject.plan.schedules[field.source.shift]
            twice = _twice(subject, schedule.shift)
            if twice and schedule.shift.clock not in timed:
                one, other = twice
                yield self.finding(
                    subject,
                    f'"{one.label}" of {schedule.shift.name} runs from {_clock(one)} and again '
                    f"from {_clock(other)} of one day",
                    other.span,
                    "give each part a letter of its own, or print the hour beside it",
                )


def _twice(subject: Subject, shift: Shift) -> tuple[ShiftPart, ShiftPart] | None:
    """Two parts of one production day with one label, and another between them."""
    start = subject.plan.clocks[shift.clock].root.day_from_minutes
    by_day: dict[int, list[tuple[int, ShiftPart]]] = {}
    for part in shift.parts:
        for day in part.days:
            since = (day * _DAY + part.from_minutes - start) % (shift.turn.days * _DAY)
            by_day.setdefault(since // _DAY, []).append((since, part))
    for _, begun in sorted(by_day.items()):
        parts = [part for _, part in sorted(begun, key=lambda pair: pair[0])]
        for index, part in enumerate(parts):
            for later in parts[index + 2 :]:
                if later.label == part.label:
                    return part, later
    return None


def _clock(part: ShiftPart) -> str:
    return f"{part.from_minutes // 60:02}:{part.from_minutes % 60:02}"
