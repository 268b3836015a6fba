"""Can the electrode charge the drops as their flight needs it?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import ceil, floor

from rasterc.checks.flown import MODEL, flight_example, flown, place, where, which
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.diagnostics import Severity
from rasterc.head.limits import SAFE_CHARGE
from rasterc.profile.flight import Flight
from rasterc.sweep.case import Flown
from rasterc.sweep.model import Figures


class ChargeLimit(Rule):
    """Highest charge of a drop against Rayleigh's limit."""

    id = "charge-limit"
    title = "Drops carry almost the charge at which they burst"
    severity = Severity.WARNING
    needs_profile = True
    samples = True
    rationale = (
        "A charged drop bursts when its repulsion outdoes its surface tension. Above 80 % of that "
        "charge the top rows turn to spray with warm ink or a worn nozzle; beyond it always, which "
        "is an error."
    )
    source = (
        "Rayleigh, Phil. Mag. 14 (1882), 184-186; the margin of 80 %: common practice, no source"
    )
    trips = flight_example(
        ("field_mv_m = 1.2", "field_mv_m = 0.38"), ("max_v = 350", "max_v = 1000")
    )
    passes = flight_example()

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for each speed at which a drop carries too much."""
        seen = flown(subject)
        for look in seen.speeds if seen else ():
            charge = look.figures.charge
            if charge <= SAFE_CHARGE:
                continue
            assert seen is not None and seen.job.profile.flight is not None
            most = look.worst(lambda one: float(one.charges_c.max()))
            drop = int(most.charges_c[most.landings.slot].argmax())
            span, strokes = place(subject, most, drop)
            field = seen.job.profile.flight.plates.field_mv_m * charge / SAFE_CHARGE
            found = self.finding(
                subject,
                f"{where(look, _near_limit)} {which(most, drop)} needs {charge * 100:.0f} % of "
                "the charge at which it bursts",
                span,
                f"raise field_mv_m to {ceil(field * 100) / 100:g}, lengthen the plates by the same "
                "part, or use a lower raster",
                strokes=strokes,
                measured=charge,
                limit=1.0 if charge > 1 else SAFE_CHARGE,
                unit="of Rayleigh's limit",
            )
            yield replace(found, severity=Severity.ERROR) if charge > 1 else found


def _near_limit(figures: Figures) -> bool:
    return figures.charge > SAFE_CHARGE


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
