"""Does the reason of a silence still hold?"""

from __future__ import annotations

import re
from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import LIVES, Finding, Rule, Subject
from rasterc.checks.printed.written import written_dates
from rasterc.diagnostics import Severity

_YEAR = re.compile(r"\b(?:until|till|to|through) (20\d{2})\b")


_LINE = 'clock packed in "UTC"\nblock {{ line: packed(dd/MM/yyyy) }}\n'


_LINE += 'silence ambiguous-date because "agreed until June {}"'


class SilenceOutdated(Rule):
    """A silence whose reason names a date that has passed."""

    id = "silence-outdated"
    title = "The reason of a silence names a day that has passed"
    severity = Severity.WARNING
    can_be_silenced = False
    rationale = (
        "`agreed with the customer until June 2027` was true then. When the day has passed, what "
        "the silence accepts is to be looked at again."
    )
    source = "common practice, no source"
    trips = example(_LINE.format(2027))
    passes = example(_LINE.format(2029))

    def proof(self, subject: Subject) -> tuple[str, ...] | None:
        """Known of all values by their extremes."""
        del subject
        return (LIVES,)

    def of_print(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such silence."""
        when = subject.resolved.instant.when
        if when is None:
            return
        for silence in subject.message.silences:
            days = [one.days[-1] for one in written_dates(silence.reason) if one.days]
            years = [int(year) for year in _YEAR.findall(silence.reason)]
            over = (days and max(days) < when.date()) or (
                not days and years and max(years) < when.year
            )
            if over:
                yield self.finding(
                    subject,
                    f'"{silence.reason}" is over',
                    silence.span,
                    "take the silence out, or write why it still holds",
                )
