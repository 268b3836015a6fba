"""Do the words before a date say one thing?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.dates import Mark, marks
from rasterc.checks.printed.durability import is_date
from rasterc.checks.printed.lead_words import Kind, leads_within

_BEST = {Kind.BEST_BEFORE, Kind.BEST_BEFORE_END}


_ENDS = 'clock packed in "UTC"\nclock ends = packed + 9 days\n'


class TwoLeads(Rule):
    """One date introduced as use-by and as best-before."""

    id = "two-leads"
    title = "One date is called both a use-by and a best-before date"
    reads_words = True
    rationale = (
        "After a use-by date food is unsafe, after a best-before date it may be sold and eaten. A "
        "date that is both is neither, and a shop cannot tell whether to destroy the food. The "
        "same holds for one date that is said to be of packing and of expiry."
    )
    source = "common practice, no source"
    trips = example(
        _ENDS + 'block { line: "USE BY/BEST BEFORE " ends(dd MMM yyyy, upper) }',
    )
    passes = example(_ENDS + 'block { line: "USE BY " ends(dd MMM yyyy, upper) }')

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such date, and for one clock under both."""
        kinds: dict[str, set[Kind]] = {}
        for mark in marks(subject):
            own = kinds_said(mark) if is_date(mark) else set()
            known = kinds.setdefault(mark.clock, set())
            for both in (own, known | own):
                if _contradict(both) and not _contradict(known):
                    yield self.finding(
                        subject,
                        f"{mark.text} is introduced as {' and as '.join(sorted(both))}",
                        mark.span,
                        "leave one of them out, or print two dates",
                    )
                    break
            known |= own


def kinds_said(mark: Mark) -> set[Kind]:
    """What all words before a mark say that it is."""
    words = mark.label if mark.leads else mark.since
    return {lead.kind for lead in leads_within(words)} | set(mark.kinds)


def _contradict(kinds: set[Kind]) -> bool:
    ways = [Kind.USE_BY in kinds, not kinds.isdisjoint(_BEST), Kind.PACKED in kinds]
    return sum(ways) > 1 or (Kind.PACKED in kinds and Kind.KEEPING in kinds)
