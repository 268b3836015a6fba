"""Does a date follow the words for one?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.dates import fields_introduced
from rasterc.checks.printed.durability import labelled_marks
from rasterc.checks.printed.lead_words import (
    KEEPING,
    Lead,
    leads_at_end,
    leads_within,
    plain_words,
)
from rasterc.checks.printed.literals import written
from rasterc.checks.printed.tokens import PrintedLine, printed_lines
from rasterc.diagnostics import Severity

_UNITS = frozenset(("EUR", "GBP", "USD", "CHF", "PLN", "KG", "ML", "CL", "LB", "OZ"))


_LETTERS = 5  # of words that introduce nothing else


_MADE = 'clock made in "UTC"\nclock best = made + 60 days\n'


class LeadWithoutDate(Rule):
    """Words for the end of a life, and nothing printed is introduced by them."""

    id = "lead-without-date"
    title = "The words for a date are printed, and no date follows"
    severity = Severity.WARNING
    reads_words = True
    rationale = (
        "BEST BEFORE and a time of day, a price or nothing after it: the field was taken out, or "
        "prints something else. Words that tell where the date stands, `see lid`, are left alone."
    )
    source = "common practice, no source"
    trips = example(_MADE + 'block { line: "BEST BEFORE " best(HH-mm) }')
    passes = example(_MADE + 'block { line: "BEST BEFORE " best(yyyy-MM-dd) }')

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for the first such words of a message that has no date for them."""
        if labelled_marks(subject) or any(_keeps(leads) for _, _, leads in written(subject)):
            return
        if any(_keeps(leads_at_end(words)) for _, words in fields_introduced(subject)):
            return
        for line in printed_lines(subject):
            words = _words_alone(line)
            if words:
                yield self.finding(
                    subject,
                    f'"{words}" is printed, and no date is introduced by it',
                    line.line.span,
                    f'print the date after it: "{words} " best(dd MMM yyyy)',
                )
                return


def _keeps(leads: tuple[Lead, ...]) -> bool:
    return any(lead.kind in KEEPING for lead in leads)


def _words_alone(line: PrintedLine) -> str:
    """The words for the end of a life on a line, when no other words follow them."""
    found = [lead for lead in leads_within(line.words) if lead.kind in KEEPING]
    for lead in found:
        if len("".join(lead.plain)) < _LETTERS:
            continue
        words = plain_words(line.words)
        last = max(i for i, word in enumerate(words) if word == lead.plain[-1])
        after = [w for w in words[last + 1 :] if w.isalpha() and len(w) > 1 and w not in _UNITS]
        if not after:
            return lead.words.upper()
    return ""
