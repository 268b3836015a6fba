"""Highest charge of a drop against Rayleigh's limit."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import ceil

from rasterc.checks.flown import flight_example, flown, place, where, which
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.diagnostics import Severity
from rasterc.head.limits import SAFE_CHARGE
from rasterc.sweep.model import Figures


class ChargeLimit(Rule):
    """Highest charge of a drop against Rayleigh's limit."""

    id = "charge-limit"
    title = "Drops carry almost the charge at which they burst"
    severity = Severity.WARNING
    needs_profile = True
    samples = True
    flies = True
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
