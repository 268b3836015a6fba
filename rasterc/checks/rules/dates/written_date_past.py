"""Are dates written out by hand still ahead?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import LIVES, Finding, Rule, Subject
from rasterc.checks.printed.lead_words import KEEPING
from rasterc.checks.printed.literals import written

_TEXT = 'block {{ line: "BEST BEFORE 12 MAR {}" }}\n'


_TEXT += 'silence written-date because "one run for the fair"'


class WrittenDatePast(Rule):
    """A date in a literal text, behind the words for the end of a life, that is past."""

    id = "written-date-past"
    title = "A date written into a text has passed, or is none"
    rationale = (
        "A date in a text does not move on, and no clock looks at it: the label was copied from "
        "last year's. Dates are read in figures and in the month names of all shipped languages; "
        "of a date that can be read two ways the later is held against the day. A day that no "
        "calendar has is found too."
    )
    source = "the names are those of the Unicode CLDR"
    trips = example(_TEXT.format(2027))
    passes = example(_TEXT.format(2029))

    def proof(self, subject: Subject) -> tuple[str, ...] | None:
        """Known of all values by their extremes."""
        del subject
        return (LIVES,)

    def of_print(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such date before the day of the instant."""
        when = subject.resolved.instant.when
        for segment, one, leads in written(subject):
            if not any(lead.kind in KEEPING for lead in leads):
                continue
            if not one.days:
                said = f'"{one.text}" is a day that no calendar has'
            elif when is not None and one.days[-1] < when.date():
                said = f'"{one.text}" has passed'
            else:
                continue
            yield self.finding(
                subject, said, segment.span,
                "count the date from a clock: clock best = packed + 60 days, say",
            )  # fmt: skip
