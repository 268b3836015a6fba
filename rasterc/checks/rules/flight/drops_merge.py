"""Least distance of two drops in flight."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from rasterc.checks.flown import (
    MODEL,
    flight_example,
    flown,
    one_more_guard,
    place,
    where,
    which,
)
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.diagnostics import Severity
from rasterc.head.limits import SAFE_SEPARATION
from rasterc.sweep.model import Figures


def _is_near(figures: Figures) -> bool:
    return figures.near is not None and figures.near < SAFE_SEPARATION


class DropsMerge(Rule):
    """Least distance of two drops in flight."""

    id = "drops-merge"
    title = "Drops merge in flight"
    needs_profile = True
    samples = True
    flies = True
    rationale = (
        "A drop right behind another flies in its wake and gains on it. Drops that touch merge: "
        "one row is printed twice, the other not at all. Below 1.3 diameters little room is left: "
        "that is a warning."
    )
    source = f"1 diameter: geometry; 1.3: common practice, no source; distances: {MODEL}"
    trips = flight_example(
        ("guard_drops = 2", "guard_drops = 0"), ("pitch_mm = 0.35", "pitch_mm = 0.2")
    )
    passes = flight_example()

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for each speed at which drops touch, or nearly so."""
        seen = flown(subject)
        for look in seen.speeds if seen else ():
            near = look.figures.near
            if near is None or near >= SAFE_SEPARATION:
                continue
            assert seen is not None
            nearest = look.worst(lambda one: -float(one.landings.separation.min()))
            drop = int(nearest.landings.separation.argmin())
            span, strokes = place(subject, nearest, drop)
            touch = "merges with" if near < 1 else "nearly meets"
            turn = "" if seen.job.raster.firing == "low-first" else ", or fire the low row first"
            found = self.finding(
                subject,
                f"{where(look, _is_near)} {which(nearest, drop)} {touch} another in flight: "
                f"{near:.2f} diameters apart",
                span,
                f"{one_more_guard(seen.job)}{turn}",
                strokes=strokes,
                measured=near,
                limit=1.0 if near < 1 else SAFE_SEPARATION,
                unit="diameters",
            )
            yield found if near < 1 else replace(found, severity=Severity.WARNING)
