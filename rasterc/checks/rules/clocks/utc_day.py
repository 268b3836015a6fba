"""Does the day of a date begin where the product is made?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.dates import marks
from rasterc.checks.printed.durability import chain_of, is_date
from rasterc.diagnostics import Severity

_WESTERN = {"", "en", "ga", "pt", "is"}
"""Languages of countries whose clocks show UTC for part of the year, and of none."""


_ENDS = 'clock packed in "{}"\nclock ends = packed + 9 days\n'


_ENDS += 'block {{ line: "ZU VERBRAUCHEN BIS " ends(dd.MM.yyyy) }}'


class UtcDay(Rule):
    """A date of UTC or of a fixed offset, under words of a language that is spoken elsewhere."""

    id = "utc-day"
    title = "A date goes by UTC or a fixed offset, under words that say where it is sold"
    severity = Severity.WARNING
    reads_words = True
    rationale = (
        "In Central Europe the day of UTC begins at one in winter and at two in summer; what is "
        'packed in between carries the day before. A zone by its name, "Europe/Warsaw", has the '
        "right day in both."
    )
    source = "IANA time zone database; common practice"
    trips = example(_ENDS.format("UTC"))
    passes = example(_ENDS.format("Europe/Berlin"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for the first such date of each clock."""
        reported: set[str] = set()
        for mark in marks(subject):
            languages = {lead.language for lead in mark.leads}
            root = chain_of(subject, mark.clock)[0]
            away = bool(languages) and languages.isdisjoint(_WESTERN)
            if away and is_date(mark) and _is_fixed(root.zone) and root.name not in reported:
                reported.add(root.name)
                yield self.finding(
                    subject,
                    f'the day of "{mark.text}" is that of {root.zone}',
                    root.zone_span or root.span,
                    f'name its zone: clock {root.name} in "Europe/Berlin", say',
                )


def _is_fixed(zone: str | None) -> bool:
    return zone is not None and (zone.startswith("Etc/") or zone in ("UTC", "GMT", "UCT", "Zulu"))
