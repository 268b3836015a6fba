"""Can a typed date lie years ahead?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.dates import Mark, marks
from rasterc.checks.printed.durability import is_date
from rasterc.checks.printed.lead_words import KEEPING, Kind
from rasterc.checks.printed.typed_days import TypedDay, printing_clock, typed_day
from rasterc.diagnostics import Severity

_DATES = frozenset({Kind.PACKED, Kind.FROZEN, *KEEPING})

_EXPIRY = 'clock now in "UTC"\ninput expiry date "dd.MM.yyyy"{}\n'
_EXPIRY += 'block {{ line: "EXP " expiry(MM/yyyy) " LOT " now(yyDDD) }}'
_TYPED = {"expiry": "25.11.2029"}


class TypedDateOpen(Rule):
    """A date that matters, typed without a limit ahead."""

    id = "typed-date-open"
    title = "A typed date has no limit, and may lie years ahead"
    severity = Severity.WARNING
    reads_words = True
    rationale = (
        "One wrong digit in a typed date, 2082 for 2028, makes a date that a calendar has, and it "
        "is printed on every product. Limits stop it before the first one. Looked at are typed "
        "dates behind the words for a date of durability or of production, and those that another "
        "printed date is counted from. A limit that only keeps a date from being too early leaves "
        "it open."
    )
    source = "common practice, no source"
    trips = example(_EXPIRY.format(""), inputs=_TYPED)
    passes = example(_EXPIRY.format(", within 5 years after now"), inputs=_TYPED)

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such input, with the first date that it makes."""
        told: set[str] = set()
        for mark in filter(is_date, marks(subject)):
            typed = typed_day(subject, mark.clock)
            if typed is None or not typed.is_open or typed.declared.name in told:
                continue
            if not _matters(typed, mark):
                continue
            told.add(typed.declared.name)
            yield self.finding(
                subject,
                f"any day to {typed.last} may be typed for {typed.declared.name}, and "
                f"{mark.clock}({mark.pattern}) prints what follows from it",
                typed.declared.span,
                _remedy(subject, typed, mark),
            )


def _matters(typed: TypedDay, mark: Mark) -> bool:
    return mark.clock != typed.declared.name or not mark.kinds.isdisjoint(_DATES)


def _remedy(subject: Subject, typed: TypedDay, mark: Mark) -> str:
    """Limits: ahead of printing for the end of a life, else behind it."""
    clock = printing_clock(subject, typed)
    ends = mark.clock == typed.declared.name and not mark.kinds.isdisjoint(KEEPING)
    limit = f"within {'5 years after' if ends else '5 days before'} {clock or 'now'}"
    declared = "" if clock else 'declare clock now in "Europe/Dublin", say, and '
    return f"{declared}add the limits that hold, `{limit}` say"
