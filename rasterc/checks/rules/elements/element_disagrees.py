"""Do words and elements say the same of a date? (rule set gs1)"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.dates import Mark, marks
from rasterc.checks.printed.durability import is_date, last_day_read
from rasterc.checks.printed.lead_words import KEEPING, Kind
from rasterc.diagnostics import Severity
from rasterc.profile.model import RuleSet

_BEST = {Kind.BEST_BEFORE, Kind.BEST_BEFORE_END}


_ENDS = 'clock made in "Europe/Dublin"\nclock ends = made + 9 days\n'


_ENDS += 'block {{ line: "USE BY " ends(dd MMM yyyy, upper) "  ({})" ends(yyMMdd) }}'


class ElementDisagrees(Rule):
    """A date in words and the same in an element, of different days or kinds."""

    id = "element-disagrees"
    title = "The date in words and the one in an element do not agree"
    severity = Severity.ERROR
    rule_set = RuleSet.GS1
    samples = True
    rationale = (
        "The till goes by the element, the customer by the words. (15) is a best-before date, (17) "
        "one after which the product must not be used; both show the day that the words show, and "
        "day 00 says less than words with their day."
    )
    source = "GS1 General Specifications, AI (15) and (17)"
    trips = example(_ENDS.format("15"), rules=RuleSet.GS1)
    passes = example(_ENDS.format("17"), rules=RuleSet.GS1)

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such element that no date in words agrees with."""
        dates = [mark for mark in marks(subject) if is_date(mark)]
        spoken = [m for m in dates if not _is_element(m) and not m.kinds.isdisjoint(KEEPING)]
        for mark in dates:
            if not spoken or not _is_element(mark) or mark.kinds.isdisjoint(KEEPING):
                continue
            whys = [_why(subject, mark, other) for other in spoken]
            if all(whys):
                yield self.finding(
                    subject,
                    f'"{mark.since.strip()}{mark.text}" {whys[0]}',
                    mark.span,
                    f"print both from one clock, {spoken[0].clock}, and with the element of its "
                    "kind: (15) best before, (17) use by and expiry",
                )


def _is_element(mark: Mark) -> bool:
    return mark.since.rstrip().endswith(")") and not mark.since.rstrip().endswith("()")


def _why(subject: Subject, element: Mark, words: Mark) -> str:
    """How an element disagrees with a date in words, "" when it does not."""
    is_best = Kind.BEST_BEFORE in element.kinds
    if is_best and Kind.USE_BY in words.kinds:
        return f'is a best-before date, and the words are "{words.label}"'
    if Kind.KEEPING in element.kinds and not words.kinds.isdisjoint(_BEST):
        return f'is an expiry date, and the words are "{words.label}"'
    ends = [subject.moment.clock(mark.clock).day for mark in (element, words)]
    if element.has("d") and words.has("d") and ends[0] != ends[1]:
        return f'is another day than "{words.text}"'
    if not element.has("d") and words.has("d") and last_day_read(element, ends[0]) != ends[1]:
        return f'has day 00, and "{words.text}" has its day'
    months = [day.replace(day=1) for day in ends]
    if not words.has("d") and words.has("M") and months[0] != months[1]:
        return f'is another month than "{words.text}"'
    return ""
