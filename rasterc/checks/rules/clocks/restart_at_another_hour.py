"""Does a counter start again when the day beside it changes?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.dates import marks
from rasterc.checks.printed.durability import chain_of, life_of
from rasterc.diagnostics import Severity
from rasterc.source.times import Clock
from rasterc.values.fields.kinds import CounterText

_COUNTED = 'clock packed in "Europe/Dublin", day from 06:00\nclock wall in "Europe/Dublin"{}\n'


_COUNTED += "counter case from 1 to 9999999, restart daily of wall\n"


_COUNTED += 'block {{ line: "LOT " packed(yyDDD) " " case(0000000) }}'


class RestartAtAnotherHour(Rule):
    """A counter that restarts with the day of a clock whose day begins at another time."""

    id = "restart-at-another-hour"
    title = "The counter starts again at another hour than the day printed beside it"
    severity = Severity.WARNING
    rationale = (
        "The lot's day begins at six and the counter restarts at midnight: from midnight to six "
        "the numbers come again beside the same day, and two products carry one code."
    )
    source = "common practice, no source"
    trips = example(_COUNTED.format(""))
    passes = example(_COUNTED.format(", day from 06:00"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such counter."""
        dated = [mark for mark in marks(subject) if mark.has("dD")]
        own = [m for m in dated if life_of(subject, m.clock) is None] or dated
        seen: set[str] = set()
        for field in subject.plan.fields:
            source = field.source
            if not isinstance(source, CounterText) or source.counter.name in seen:
                continue
            counter = source.counter
            seen.add(counter.name)
            if counter.restart.of != "clock" or counter.restart_of is None or not own:
                continue
            restarts = chain_of(subject, counter.restart_of)[0]
            roots = [chain_of(subject, mark.clock)[0] for mark in own]
            if not any(_begins_alike(root, restarts) for root in roots):
                yield self.finding(
                    subject,
                    f"counter {counter.name} restarts with the day of {restarts.name}, and "
                    f'"{own[0].text}" goes by {roots[0].name}, whose day begins at another time',
                    counter.span,
                    f"restart it with that day: restart {counter.restart} of {roots[0].name}",
                )


def _begins_alike(one: Clock, other: Clock) -> bool:
    if one == other:
        return True
    return one.zone == other.zone is not None and one.day_from_minutes == other.day_from_minutes
