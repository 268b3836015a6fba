"""D where d is meant, or D in fewer than three digits."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.dates import MONTHS, Mark, marks
from rasterc.checks.rules.dates.letters import UTS_35, dated, is_in_time, neighbours


class DayOfYearLetter(Rule):
    """D where d is meant, or D in fewer than three digits."""

    id = "day-of-year-letter"
    title = "D is the day of the year, in three digits; the day of the month is d"
    rationale = (
        "D counts from 1 to 366. Beside a month the day of the month is meant. As D or DD it "
        "prints one to three digits, so that what stands beside it cannot be told from it."
    )
    source = f"{UTS_35}: D and d"
    trips = dated("DD/MMM/yyyy, upper", "365/DEC/2026")
    passes = dated("dd/MMM/yyyy, upper", "31/DEC/2026")

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such D."""
        for mark in marks(subject):
            day = mark.part("D")
            if day is None or day.coded:
                continue
            if _has_month(mark) and not mark.has("d"):
                said = f'"{mark.pattern}" prints the day of the year, 1 to 366, beside the month'
                help = f"write {mark.pattern.replace('D' * day.count, 'dd')}"
            elif day.count < 3 or not day.whole:
                said = f'"{mark.pattern}" prints the day of the year in one to three digits'
                said = said if day.whole else f'"{mark.pattern}" cuts the day of the year short'
                help = "write DDD, all three digits, with the year: yyDDD"
            else:
                continue
            yield self.finding(subject, said, mark.span, help)


def _has_month(mark: Mark) -> bool:
    """Whether a month is printed that is meant as one: see `month-for-minutes`."""
    return any(
        part.letter in MONTHS and not is_in_time(before, part, after)
        for before, part, after in neighbours(mark)
    )
