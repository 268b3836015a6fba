"""The profile's flight must be such that drops can be flown at all."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.flown import (
    flight_example,
    job_of,
)
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.diagnostics import Diagnostic, InputError
from rasterc.sweep.inspection import inspect
from rasterc.sweep.model import Job


class FlightProfile(Rule):
    """The profile's flight must be such that drops can be flown at all."""

    id = "flight-profile"
    title = "The drops of this profile cannot be flown"
    needs_profile = True
    rationale = (
        "The figures of a head hang together: nozzle, jet speed and drop frequency give the size "
        "of a drop, and that and its spread the size of a dot. Where they contradict each other, "
        "nothing can be said about the flight."
    )
    source = "conservation of volume, and the limits of the flight model"
    trips = flight_example(("drop_diameter_um = 113", "drop_diameter_um = 90"))
    passes = flight_example()

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every contradiction, and for a message too long to fly."""
        job = job_of(subject)
        for fault in _faults(job) if job else ():
            yield self.finding(subject, fault.message, subject.message.raster_span, fault.help)


def _faults(job: Job) -> tuple[Diagnostic, ...]:
    try:
        inspect(job)
    except InputError as error:
        return error.diagnostics
    return ()
