"""Distance of drops from the even grid they form, at every speed and throw looked at."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, floor, log2

from rasterc.checks.flown import (
    MODEL,
    flight_example,
    flown,
    one_more_guard,
    where,
)
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.sweep.inspection import Look
from rasterc.sweep.judge import MOST_PITCHES, UNSOLVED_MM
from rasterc.sweep.model import Charges, Figures, Job


class FlightPlacement(Rule):
    """Distance of drops from the even grid they form, at every speed and throw looked at."""

    id = "flight-placement"
    title = "Drops land half a pitch or more from their places"
    needs_profile = True
    samples = True
    flies = True
    rationale = (
        "Charges are solved for each speed, and kept where the product passes nearer or further. "
        "A drop half a pitch from the evenly spaced grid of the others is nearer to another place "
        "than to its own: the character is another one, or none."
    )
    source = f"limit of half a pitch: geometry; placement: {MODEL}"
    trips = flight_example(("max_v = 350", "max_v = 1000\ndac_bits = 6\ncapacitance_factor = 3"))
    passes = flight_example()

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for each flight in which a drop is lost or too far off.

        The ends of the throw are held against it only when the usual throw is fine.
        """
        seen = flown(subject)
        if seen is None:
            return
        wrong = [look for look in seen.speeds if _is_off(look.figures)]
        ends = (look for look in seen.throws if _is_off(look.figures))
        for look in wrong or ends:
            off = look.figures.worst_pitches
            when = where(look, _is_off)
            said = "drops are lost" if off is None else f"a drop lands {off:.2f} pitches off"
            yield self.finding(
                subject,
                f"{when} {said}",
                subject.message.raster_span,
                self._remedy(seen.job, look),
                measured=off,
                limit=MOST_PITCHES,
                unit="pitches",
            )

    @staticmethod
    def _remedy(job: Job, look: Look) -> str:
        figures, flight = look.figures, job.profile.flight
        assert flight is not None
        if look.case.charges is Charges.FIXED:
            return f"keep products nearer to a throw of {job.throw_mm:g} mm"
        low, high = flight.electrode.min_v, flight.electrode.max_v
        if not low <= figures.least_v <= figures.most_v <= high:
            needed = f"{floor(figures.least_v)} to {ceil(figures.most_v)} V"
            return f"give the electrode the {needed} it needs: it has {low:g} to {high:g} V"
        solved = figures.residual_mm is not None and figures.residual_mm < UNSOLVED_MM
        if solved and figures.worst_pitches is not None:
            bits = ceil(log2(figures.worst_pitches / MOST_PITCHES)) + 2
            return (
                "the steps of the electrode's converter are too coarse: use dac_bits = "
                f"{flight.electrode.dac_bits + bits}, or max_v nearer to the {figures.most_v:.0f} "
                "V needed"
            )
        return f"{one_more_guard(job)}, or use a lower raster"


def _is_off(figures: Figures) -> bool:
    return figures.worst_pitches is None or figures.worst_pitches >= MOST_PITCHES
