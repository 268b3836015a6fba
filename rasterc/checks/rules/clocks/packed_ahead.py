"""Is the day of packing one that has come?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.durability import durable_marks
from rasterc.checks.printed.lead_words import KEEPING, Kind

_BEST = 'clock packed in "UTC"\nclock best = packed + 60 days\n'


class PackedAhead(Rule):
    """A date introduced as the day of packing or freezing that lies ahead."""

    id = "packed-ahead"
    title = "A date introduced as the day of packing lies in the future"
    reads_words = True
    rationale = (
        "A pack that says it was packed in two months carries the clock of its other date: what "
        "was meant as the end of its life is taken for its beginning."
    )
    source = "common practice, no source"
    trips = example(_BEST + 'block { line: "PACKED " best(dd MMM yyyy, upper) }')
    passes = example(
        _BEST + 'block { line: "PACKED " packed(yyyy-MM-dd) " EXP " best(yyyy-MM-dd) }',
        profile="print_window_mm = 120\nproduct_pitch_mm = 150",
    )

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such date."""
        for mark, life in durable_marks(subject):
            past = {Kind.PACKED, Kind.FROZEN} & mark.kinds
            if past and mark.kinds.isdisjoint(KEEPING):
                yield self.finding(
                    subject,
                    f"{mark.text} is introduced as {past.pop()}, and is {life.days} days after "
                    "production",
                    mark.span,
                    "print the clock of production there, or write the words for the end of its "
                    'life: "BEST BEFORE "',
                    measured=life.days,
                    limit=0,
                    unit="days",
                )
