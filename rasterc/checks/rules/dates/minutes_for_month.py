"""mm, the minutes, in the middle of a date."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.dates import HOURS, marks
from rasterc.checks.rules.dates.letters import UTS_35, dated, neighbours, swap_letter


class MinutesForMonth(Rule):
    """mm, the minutes, in the middle of a date."""

    id = "minutes-for-month"
    title = "mm are minutes; the month is MM"
    rationale = (
        "In a date pattern capital and small letters differ: mm prints the minutes. dd/mm/yyyy "
        "looks right for the first twelve minutes of an hour and prints a month 37 later."
    )
    source = f"{UTS_35}: m and M"
    trips = dated("dd.mm.yyyy", "31.05.2026")
    passes = dated("yyyy-MM-dd", "2026-12-31")

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for minutes beside a day or a year that follow no hour."""
        for mark in marks(subject):
            for before, part, after in neighbours(mark):
                beside = any(other in "dyYML" for other in (before, after) if other)
                if part.letter == "m" and part.is_number and before not in HOURS and beside:
                    swapped = swap_letter(mark, part, "M")
                    yield self.finding(
                        subject,
                        f'"{mark.pattern}" prints the minutes ({part.text}) in a date',
                        part.span,
                        f"write {swapped}",
                    )
