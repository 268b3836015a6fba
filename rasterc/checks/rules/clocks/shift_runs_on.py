"""Does a shift end before the next day's?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.dates import marks
from rasterc.checks.printed.durability import chain_of
from rasterc.diagnostics import Severity
from rasterc.values.dates.shifts import Schedule

_DAY = 24 * 60


_CREW = 'clock packed in "UTC"\nshift crew of packed {{ "E" from 06:00{0} "N" from 18:00{0} }}\n'


_CREW += 'clock began = start of crew\nblock {{ line: "PACKED " began(yyyy-MM-dd) " " crew }}'
_OTHERS = {False: "sat, sun", True: "6, 7"}


class ShiftRunsOn(Rule):
    """A date of the start of a shift that runs on for more than a day."""

    id = "shift-runs-on"
    title = "No shift begins on some days, and the date of the last one is printed on them"
    severity = Severity.WARNING
    rationale = (
        "A part of a shift lasts until the next begins. Where none begins on Saturday and Sunday, "
        "what is made then carries Friday's date, also when it is counted on to a best-before "
        "date. A part for the weekend ends that."
    )
    source = "the message language: a part lasts until the next one begins"
    trips = example(_CREW.format(" on mon to fri"))
    passes = example(_CREW.format(""))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such shift whose start a printed date is counted from."""
        shifts = {chain_of(subject, mark.clock)[0].shift for mark in marks(subject)}
        for name in sorted(filter(None, shifts)):
            schedule = subject.plan.schedules[name]
            (longest, label), roster = _longest(schedule), schedule.shift.roster is not None
            if longest > _DAY:
                yield self.finding(
                    subject,
                    f'"{label}" of {name} lasts {longest / 60:g} hours: the date of its start is '
                    "printed until then",
                    schedule.shift.span,
                    f'give the other days a part of their own: "W" from 06:00 on {_OTHERS[roster]}',
                    measured=longest / 60,
                    limit=24,
                    unit="hours",
                )


def _longest(schedule: Schedule) -> tuple[int, str]:
    """Minutes of the part that lasts longest, and its label."""
    most = max(schedule.lasting)
    return most, schedule.labels[schedule.lasting.index(most)]
