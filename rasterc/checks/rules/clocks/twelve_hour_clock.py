"""h or K, hours to twelve, without a."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.checks.printed.dates import marks
from rasterc.checks.rules.clocks.examples import TIME
from rasterc.diagnostics import Severity


class TwelveHourClock(Rule):
    """h or K, hours to twelve, without a."""

    id = "twelve-hour-clock"
    title = "hh counts to twelve, and nothing says morning or afternoon"
    severity = Severity.WARNING
    rationale = (
        "With h or K 02:05 stands for two moments of a day, and so for two lots. The hour of the "
        "day is HH."
    )
    source = "UTS #35, part 4 (Dates), date field symbols: h, H, K and a"
    trips = Example(TIME.format(zone="UTC", pattern="dd MMM yyyy hh:mm", text="25 Nov 2027 02:05"))
    passes = Example(TIME.format(zone="UTC", pattern="dd MMM yyyy HH:mm", text="25 Nov 2027 14:05"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such hour of a clock that does not tell the half-day too."""
        printed = marks(subject)
        with_half = {mark.clock for mark in printed if mark.has("aHk")}
        for mark in printed:
            hour = mark.part("hK")
            if hour and mark.clock not in with_half:
                yield self.finding(
                    subject,
                    f'"{mark.pattern}" prints {mark.text} at night and in the afternoon alike',
                    mark.span,
                    f"write {mark.rewritten({'h': 'H', 'K': 'H'})}, or add AM or PM: a",
                )
