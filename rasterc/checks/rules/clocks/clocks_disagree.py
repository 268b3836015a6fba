"""Do the clocks of one product agree on the day?"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.dates import Mark, marks
from rasterc.checks.printed.durability import chain_of, is_date
from rasterc.diagnostics import Severity
from rasterc.source.times import Clock

_TWO = 'clock packed in "Europe/Dublin"{}\nclock filled in "Europe/Dublin", day from 06:00\n'


_TWO += "clock best = filled + 60 days\n"


_TWO += 'block {{ line: best(yyyy-MM-dd) " L" packed(yyDDD) }}'


class ClocksDisagree(Rule):
    """Dates read from clocks whose days begin at different times, or in different zones."""

    id = "clocks-disagree"
    title = "The clocks of one product show different days at some hours"
    severity = Severity.WARNING
    samples = True
    rationale = (
        "Where one date of a code begins its day at midnight and another at six, or in another "
        "zone, they differ by a day for some hours each night: the lot is of one day, the date "
        "beside it is counted from the other."
    )
    source = "common practice, no source"
    trips = example(_TWO.format(""))
    passes = example(_TWO.format(", day from 06:00"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for the first date whose clock differs from that of the first."""
        if subject.when is None:
            return
        first: tuple[Clock, Mark] | None = None
        for mark in marks(subject):
            root = root_of(subject, mark.clock)
            if root is None or not (is_date(mark) or mark.has("HhKkm")):
                continue
            if first is None:
                first = root, mark
            hours = "" if first[0] == root else _differing(subject, first[0], root)
            if hours:
                yield self.finding(
                    subject,
                    f'"{first[1].text}" goes by clock {first[0].name} and "{mark.text}" by '
                    f"{root.name}: their days differ {hours}",
                    mark.span,
                    f"count both from one clock, or give both the same zone and `day from`: clock "
                    f'{root.name} in "{first[0].zone}"{_day_from(first[0])}',
                )
                return


def root_of(subject: Subject, name: str) -> Clock | None:
    """The clock that is read from the instant for this one; None of a fixed date."""
    first = chain_of(subject, name)[0]
    if first.shift is not None:
        return None  # the start of a shift: its day is the shift's own
    return None if first.zone is None else first


def _differing(subject: Subject, one: Clock, other: Clock) -> str:
    """The hours of a day at which two clocks show different days, in words; "" for none."""
    plan, when = subject.plan, subject.when
    assert when is not None
    zone = plan.clocks[one.name].zone
    begin = when.astimezone(UTC).replace(hour=0, minute=0, second=0, microsecond=0)
    found: list[datetime] = []
    for season in (0, 182):
        for quarter in range(96):
            moment = begin + timedelta(days=season, minutes=15 * quarter)
            at = subject.plan.at(type(subject.resolved.instant)(moment))
            if at.clock(one.name).day != at.clock(other.name).day:
                found.append(moment.astimezone(zone))
    if not found:
        return ""
    walls = sorted({moment.strftime("%H:%M") for moment in found})
    return f"{len(found) / 8:g} hours a day, at {walls[0]} in {one.zone} for one"


def _day_from(clock: Clock) -> str:
    minutes = clock.day_from_minutes
    return f", day from {minutes // 60:02}:{minutes % 60:02}" if minutes else ""
