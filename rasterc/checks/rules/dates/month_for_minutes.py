"""MM, the month, in a time of day."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.dates import marks
from rasterc.checks.rules.dates.letters import UTS_35, dated, is_in_time, neighbours, swap_letter


class MonthForMinutes(Rule):
    """MM, the month, in a time of day."""

    id = "month-for-minutes"
    title = "MM is the month; minutes are mm"
    rationale = (
        "HH:MM prints the month after the hour: every code of a month carries the same "
        "minutes, and none of them was packed then."
    )
    source = f"{UTS_35}: m and M"
    trips = dated("dd MMM yyyy HH:MM, upper", "31 DEC 2026 14:12")
    passes = dated("dd MMM yyyy HH:mm, upper", "31 DEC 2026 14:05")

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for a month in numbers that follows an hour and no date follows."""
        for mark in marks(subject):
            for before, part, after in neighbours(mark):
                if is_in_time(before, part, after):
                    swapped = swap_letter(mark, part, "m")
                    yield self.finding(
                        subject,
                        f'"{mark.pattern}" prints the month ({part.text}) in a time of day',
                        part.span,
                        f"write {swapped}",
                    )
