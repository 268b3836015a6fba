"""Do names of months stand in the form that the language has beside them?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.dates import MONTHS, marks
from rasterc.checks.printed.lead_words import Kind
from rasterc.diagnostics import Severity
from rasterc.values.dates.languages import find_names
from rasterc.values.fields.kinds import ClockText

_LINE = 'clock packed in "UTC"\nblock {{ line: packed({}, in cs, upper) }}'


class MonthCase(Rule):
    """A month's whole name in the nominative beside its day, or in the genitive without."""

    id = "month-case"
    title = "A month's name has not the form that its language has there"
    severity = Severity.WARNING
    rationale = (
        "Czech, Polish, Finnish, Greek and Russian have one form of a month's name beside its day "
        "(MMMM: 5. ledna) and another where it stands alone (LLLL: leden). The wrong one reads as "
        "a foreigner's mistake. Abbreviations are left alone."
    )
    source = "Unicode CLDR, format and stand-alone names; UTS #35, part 4: M and L"
    trips = example(_LINE.format("d. LLLL yyyy"))
    passes = example(_LINE.format("d. MMMM yyyy"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such name of a language that tells them apart."""
        for mark in marks(subject):
            month = mark.part(MONTHS)
            source = month.field.source if month and month.field else None
            if month is None or month.count != 4 or not isinstance(source, ClockText):
                continue
            language = source.pattern.language
            names = find_names(language, None).months
            ended = Kind.BEST_BEFORE_END in mark.kinds  # "end of" takes the genitive
            wanted = "M" if mark.has("d") or ended else "L"
            if wanted == "L" and not mark.kinds <= {Kind.PACKED}:
                continue
            if month.letter == wanted or names["format wide"] == names["stand-alone wide"]:
                continue
            beside = "there" if ended else "beside its day" if wanted == "M" else "without a day"
            yield self.finding(
                subject,
                f'"{mark.text}" has a form of the month that {language} does not have {beside}',
                mark.span,
                f"write {mark.rewritten({month.letter: wanted})}",
            )
