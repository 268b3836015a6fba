"""Voltages the electrode is asked for against those of its amplifier."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, floor

from rasterc.checks.flown import MODEL, flight_example, flown, place, where, which
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.profile.flight import Flight
from rasterc.sweep.case import Flown
from rasterc.sweep.model import Figures


def _highest(flown: Flown) -> float:
    return float(flown.volts[flown.landings.slot].max())


def _lowest(flown: Flown) -> float:
    return -float(flown.volts[flown.landings.slot].min())


class AmplifierLimit(Rule):
    """Voltages the electrode is asked for against those of its amplifier."""

    id = "amplifier-limit"
    title = "The electrode's amplifier cannot give the voltages needed"
    needs_profile = True
    samples = True
    flies = True
    rationale = (
        "A drop that needs more voltage than there is lands too low: the top rows of a character "
        "lie on top of each other."
    )
    source = f"the limits are the profile's own, min_v and max_v; voltages: {MODEL}"
    trips = flight_example(("max_v = 350", "max_v = 200"))
    passes = flight_example()

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for each speed at which a voltage is out of range."""
        seen = flown(subject)
        for look in seen.speeds if seen else ():
            assert seen is not None and seen.job.profile.flight is not None
            flight = seen.job.profile.flight
            low, high = flight.electrode.min_v, flight.electrode.max_v
            over = look.figures.most_v > high
            if not over and look.figures.least_v >= low:
                continue
            sign = 1 if over else -1
            worst = look.worst(_highest if over else _lowest)
            volts = worst.volts[worst.landings.slot]
            drop = int((sign * volts).argmax())
            span, strokes = place(subject, worst, drop)
            needed = float(volts[drop])

            def wrong(figures: Figures, low: float = low, high: float = high) -> bool:
                return figures.most_v > high or figures.least_v < low

            yield self.finding(
                subject,
                f"{where(look, wrong)} {which(worst, drop)} needs {needed:.0f} V, the amplifier "
                f"ends at {high if over else low:g} V",
                span,
                self._remedy(flight, needed) if over else f"lower min_v to {floor(needed)}",
                strokes=strokes,
                measured=needed,
                limit=high if over else low,
                unit="V",
            )

    @staticmethod
    def _remedy(flight: Flight, needed: float) -> str:
        field = flight.plates.field_mv_m * needed / flight.electrode.max_v
        return (
            f"use an amplifier of {ceil(needed / 10) * 10} V, a field of "
            f"{ceil(field * 100) / 100:g} MV/m, or a lower raster"
        )
