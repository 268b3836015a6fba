"""Do the drops fly to where they belong, at the line's speeds and over its range of throws?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import ceil, floor, log2, radians, tan

from rasterc.checks.flown import (
    MODEL,
    flight_example,
    flown,
    job_of,
    one_more_guard,
    place,
    where,
    which,
)
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.diagnostics import Diagnostic, InputError, Severity
from rasterc.head.limits import SAFE_SEPARATION
from rasterc.head.timing import slant_mm
from rasterc.sweep.inspection import Inspection, Look, inspect
from rasterc.sweep.judge import MOST_PITCHES, MOST_SLANT_DEG, UNSOLVED_MM
from rasterc.sweep.model import Charges, Figures, Job


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


class FlightPlacement(Rule):
    """Distance of drops from the even grid they form, at every speed and throw looked at."""

    id = "flight-placement"
    title = "Drops land half a pitch or more from their places"
    needs_profile = True
    samples = True
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


def _is_near(figures: Figures) -> bool:
    return figures.near is not None and figures.near < SAFE_SEPARATION


class DropsMerge(Rule):
    """Least distance of two drops in flight."""

    id = "drops-merge"
    title = "Drops merge in flight"
    needs_profile = True
    samples = True
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


class HeightAtThrow(Rule):
    """Height of characters where products pass nearest and furthest."""

    id = "height-at-throw"
    title = "Characters are too small where products pass near the head"
    needs_profile = True
    samples = True
    rationale = (
        "Drops fan out from the plates, so a product that passes nearer gets smaller characters. "
        "The height is looked at over the whole range the profile states, throw_mm less and more "
        "throw_tolerance_mm, with the charges of throw_mm."
    )
    source = f"the limit is the profile's own, min_character_height_mm; heights: {MODEL}"
    trips = flight_example(
        ("throw_tolerance_mm = 0", "throw_tolerance_mm = 8"), ("height_mm = 1.2", "height_mm = 2.2")
    )
    passes = flight_example(("height_mm = 1.2", "height_mm = 2.2"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for each end of the throw at which characters are too small."""
        seen = flown(subject)
        least = subject.profile.product.min_character_height_mm if subject.profile else None

        def small(figures: Figures) -> bool:
            height = figures.height_mm
            return height is not None and least is not None and height + 1e-9 < least

        for look in seen.throws if seen and least is not None else ():
            height = look.figures.height_mm
            if height is None or least is None or not small(look.figures):
                continue
            assert seen is not None
            yield self.finding(
                subject,
                f"{where(look, small)} characters are {height:.2f} mm high; {least:g} mm are asked "
                "for",
                subject.message.raster_span,
                self._remedy(seen, look, height, least),
                measured=height,
                limit=least,
                unit="mm",
            )

    @staticmethod
    def _remedy(seen: Inspection, look: Look, height: float, least: float) -> str:
        """The throw at which the height is just kept, between here and the usual throw."""
        usual = seen.speeds[0].figures.height_mm
        taller = "or use a font of more drops"
        if usual is None or usual <= least:
            return f"raise row_pitch_mm, {taller}"
        part = (usual - least) / (usual - height)
        room = floor(abs(look.case.throw_mm - seen.job.throw_mm) * part * 10) / 10
        return f"guide products to within {room:g} mm of {seen.job.throw_mm:g} mm, {taller}"


class SlantInFlight(Rule):
    """Lean of strokes once the flight is counted in."""

    id = "slant-in-flight"
    title = "The flight of the drops makes characters lean too far"
    severity = Severity.WARNING
    needs_profile = True
    samples = True
    rationale = (
        "Strongly deflected drops fly a longer way and lose speed in still air, so they arrive "
        "late and add to the lean of the strokes. Found only where `slant`, which looks at the "
        "firing alone, does not speak already."
    )
    source = f"limit of 20 degrees: common practice, no source; flight: {MODEL}"
    trips = flight_example(("[1.2]", "[3.1]"), ("pitch_mm = 0.35\np", "pitch_mm = 1\np"))
    passes = flight_example()

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for each speed at which the flight makes strokes lean too far."""
        seen = flown(subject)
        for look in seen.speeds if seen else ():
            assert seen is not None
            lean, speed = look.figures.slant_deg, look.case.speed_m_s
            if lean is None or abs(lean) <= MOST_SLANT_DEG or _leans_anyway(seen.job, speed):
                continue
            slower = speed * _tangent(MOST_SLANT_DEG) / _tangent(abs(lean)) * _MARGIN
            yield self.finding(
                subject,
                f"{where(look, _leans)} the strokes lean by {abs(lean):.1f} degrees as they land",
                subject.message.raster_span,
                f"slow to {floor(slower * 100) / 100:g} m/s, or fire their other end first",
                measured=abs(lean),
                limit=MOST_SLANT_DEG,
                unit="degrees",
            )


def _leans(figures: Figures) -> bool:
    return figures.slant_deg is not None and abs(figures.slant_deg) > MOST_SLANT_DEG


_MARGIN = 0.97  # lean goes with speed but for the rounding of strokes to the drop grid


def _tangent(angle_deg: float) -> float:
    return tan(radians(angle_deg))


def _leans_anyway(job: Job, speed_m_s: float) -> bool:
    """Whether the strokes lean too far by their firing alone."""
    head = job.profile.head
    lean = abs(slant_mm(job.raster, head.drop_frequency_hz, speed_m_s))
    return lean > _tangent(MOST_SLANT_DEG) * (job.raster.drops - 1) * head.row_pitch_mm
