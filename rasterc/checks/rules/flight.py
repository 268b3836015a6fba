"""Do the drops fly to where they belong, at the line's speeds and over its range of throws?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import ceil, floor, log2, radians, tan

from msgspec import structs

from rasterc.checks.model import EXAMPLE_PROFILE, Example, Finding, Rule, Subject
from rasterc.diagnostics import Diagnostic, InputError, Severity, Span
from rasterc.head.limits import SAFE_CHARGE, SAFE_SEPARATION
from rasterc.head.timing import max_speed_m_s, slant_mm, stroke_rate_limit_hz
from rasterc.layout import compile_strokes, orient
from rasterc.profile.flight import Flight
from rasterc.sweep.inspection import Inspection, Look, inspect
from rasterc.sweep.judge import MOST_PITCHES, MOST_SLANT_DEG, UNSOLVED_MM
from rasterc.sweep.model import Job

_MESSAGE = 'message example { raster 7 font upright-7 block { line: "E1" } }'
_PROFILE = (
    EXAMPLE_PROFILE
    + """
[flight]
lowest_row_mm = 1.5
throw_tolerance_mm = 1
[flight.jet]
nozzle_um = 60
jet_speed_m_s = 20
[flight.ink]
density_kg_m3 = 900
surface_tension_n_m = 0.025
viscosity_mpa_s = 3.5
spread_ratio = 3.5
[flight.electrode]
bore_um = 800
max_v = 350
induction = [0.12, 0.04]
[flight.plates]
to_plates_mm = 5
length_mm = 20
field_mv_m = 1.2
gap_mm = 4
clearance_mm = 4
"""
)
_MODEL = "the flight model of rasterc, from published formulas; see rasterc fly"


def _example(*changes: tuple[str, str]) -> Example:
    """The example with parts of its profile changed."""
    profile = _PROFILE
    for old, new in changes:
        profile = profile.replace(old, new)
    return Example(_MESSAGE, profile)


def _flown(subject: Subject) -> Inspection | None:
    """The flights of a print; None without a [flight] table, or when it cannot be flown."""
    job = _job(subject)
    try:
        return inspect(job) if job else None
    except InputError:
        return None  # `flight-profile` says why


def _job(subject: Subject) -> Job | None:
    profile, raster, layout = subject.profile, subject.raster, subject.layout
    if profile is None or raster is None or layout is None or profile.flight is None:
        return None
    strokes = orient(compile_strokes(layout), profile.line.upside_down, profile.line.mirrored)
    if not strokes.drops:
        return None
    rows = [
        font.cell_width() if line.tower else font.rows_of("H0")
        for line, font, _ in subject.printed_lines
    ]
    columns = tuple(int(column) for column in strokes.columns)
    lowest = min(rows, default=raster.drops)
    return Job(profile, raster, columns, lowest, profile.line.speeds_m_s[0])


def _place(subject: Subject, look: Look, drop: int) -> tuple[Span, tuple[int, int]]:
    """The text a printed drop belongs to, in the source, and its stroke."""
    landings, profile = look.flown.landings, subject.profile
    stroke, row = int(landings.stroke[drop]), int(landings.row[drop])
    assert profile is not None and subject.layout is not None
    strokes = orient(
        compile_strokes(subject.layout), profile.line.upside_down, profile.line.mirrored
    )
    spans = (
        box.span
        for box in strokes.boxes
        if box.first <= stroke < box.end and box.bottom <= row < box.top
    )
    return next(spans, subject.message.raster_span), (stroke, stroke + 1)


def _drop(look: Look, drop: int) -> str:
    landings = look.flown.landings
    return f"the drop of row {landings.row[drop]}, stroke {landings.stroke[drop] + 1}"


def _at(look: Look) -> str:
    return f"at {look.case.speed_m_s:g} m/s and a throw of {look.case.throw_mm:g} mm"


def _one_more_guard(job: Job) -> str:
    """One more guard drop, and the speed it still allows."""
    more = structs.replace(job.raster, guard_drops=job.raster.guard_drops + 1)
    limit = stroke_rate_limit_hz(more, job.profile.head.drop_frequency_hz)
    fastest = floor(max_speed_m_s(limit, job.profile.line.stroke_pitch_mm) * 100) / 100
    drops = "guard drop" if more.guard_drops == 1 else "guard drops"
    return f"throw {more.guard_drops} {drops} (the raster then follows up to {fastest:g} m/s)"


class FlightProfile(Rule):
    """The profile's flight must be such that drops can be flown at all."""

    id = "flight-profile"
    title = "The drops of this profile cannot be flown"
    rationale = (
        "The figures of a head hang together: nozzle, jet speed and drop frequency give the size "
        "of a drop, and that and its spread the size of a dot. Where they contradict each other, "
        "nothing can be said about the flight."
    )
    source = "conservation of volume, and the limits of the flight model"
    trips = _example(("drop_diameter_um = 113", "drop_diameter_um = 90"))
    passes = _example()

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every contradiction, and for a message too long to fly."""
        job = _job(subject)
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
    rationale = (
        "Charges are solved for each speed, and kept where the product passes nearer or further. "
        "A drop half a pitch from the evenly spaced grid of the others is nearer to another place "
        "than to its own: the character is another one, or none."
    )
    source = f"limit of half a pitch: geometry; placement: {_MODEL}"
    trips = _example(("max_v = 350", "max_v = 1000\ndac_bits = 6\ncapacitance_factor = 3"))
    passes = _example()

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for each flight in which a drop is lost or too far off.

        The ends of the throw are held against it only when the usual throw is fine.
        """
        flown = _flown(subject)
        if flown is None:
            return
        wrong = [look for look in flown.speeds if self._is_off(look)]
        for look in wrong or filter(self._is_off, flown.throws):
            off = look.figures.worst_pitches
            said = "drops are lost" if off is None else f"a drop lands {off:.2f} pitches off"
            yield self.finding(
                subject,
                f"{_at(look)} {said}",
                subject.message.raster_span,
                self._remedy(flown.job, look),
                measured=off,
                limit=MOST_PITCHES,
                unit="pitches",
            )

    @staticmethod
    def _is_off(look: Look) -> bool:
        off = look.figures.worst_pitches
        return off is None or off >= MOST_PITCHES

    @staticmethod
    def _remedy(job: Job, look: Look) -> str:
        figures, flight = look.figures, job.profile.flight
        assert flight is not None
        if look.flown.table is None:
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
        return f"{_one_more_guard(job)}, or use a lower raster"


class DropsMerge(Rule):
    """Least distance of two drops in flight."""

    id = "drops-merge"
    title = "Drops merge in flight"
    rationale = (
        "A drop right behind another flies in its wake and gains on it. Drops that touch merge: "
        "one row is printed twice, the other not at all. Below 1.3 diameters little room is left: "
        "that is a warning."
    )
    source = f"1 diameter: geometry; 1.3: common practice, no source; distances: {_MODEL}"
    trips = _example(("guard_drops = 1", "guard_drops = 0"), ("pitch_mm = 0.35", "pitch_mm = 0.2"))
    passes = _example()

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for each speed at which drops touch, or nearly so."""
        flown = _flown(subject)
        for look in flown.speeds if flown else ():
            near = look.figures.near
            if near is None or near >= SAFE_SEPARATION:
                continue
            assert flown is not None
            drop = int(look.flown.landings.separation.argmin())
            span, strokes = _place(subject, look, drop)
            touch = "merges with" if near < 1 else "nearly meets"
            raster = flown.job.raster
            turn = "high" if raster.firing == "low-first" else "low"
            found = self.finding(
                subject,
                f"{_at(look)} {_drop(look, drop)} {touch} another in flight: {near:.2f} diameters "
                "apart",
                span,
                f"{_one_more_guard(flown.job)}, or fire the {turn} row first",
                strokes=strokes,
                measured=near,
                limit=1.0 if near < 1 else SAFE_SEPARATION,
                unit="diameters",
            )
            yield found if near < 1 else replace(found, severity=Severity.WARNING)


class ChargeLimit(Rule):
    """Highest charge of a drop against Rayleigh's limit."""

    id = "charge-limit"
    title = "Drops carry almost the charge at which they burst"
    severity = Severity.WARNING
    rationale = (
        "A charged drop bursts when its repulsion outdoes its surface tension. Above 80 % of that "
        "charge the top rows turn to spray with warm ink or a worn nozzle; beyond it always, which "
        "is an error."
    )
    source = (
        "Rayleigh, Phil. Mag. 14 (1882), 184-186; the margin of 80 %: common practice, no source"
    )
    trips = _example(("field_mv_m = 1.2", "field_mv_m = 0.38"), ("max_v = 350", "max_v = 1000"))
    passes = _example()

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for each speed at which a drop carries too much."""
        flown = _flown(subject)
        for look in flown.speeds if flown else ():
            charge = look.figures.charge
            if charge <= SAFE_CHARGE:
                continue
            assert flown is not None and flown.job.profile.flight is not None
            drop = int(look.flown.charges_c[look.flown.landings.slot].argmax())
            span, strokes = _place(subject, look, drop)
            field = flown.job.profile.flight.plates.field_mv_m * charge / SAFE_CHARGE
            found = self.finding(
                subject,
                f"{_at(look)} {_drop(look, drop)} needs {charge * 100:.0f} % of the charge at "
                "which it bursts",
                span,
                f"raise field_mv_m to {ceil(field * 100) / 100:g}, lengthen the plates by the same "
                "part, or use a lower raster",
                strokes=strokes,
                measured=charge,
                limit=1.0 if charge > 1 else SAFE_CHARGE,
                unit="of Rayleigh's limit",
            )
            yield replace(found, severity=Severity.ERROR) if charge > 1 else found


class AmplifierLimit(Rule):
    """Voltages the electrode is asked for against those of its amplifier."""

    id = "amplifier-limit"
    title = "The electrode's amplifier cannot give the voltages needed"
    rationale = (
        "A drop that needs more voltage than there is lands too low: the top rows of a character "
        "lie on top of each other."
    )
    source = f"the limits are the profile's own, min_v and max_v; voltages: {_MODEL}"
    trips = _example(("max_v = 350", "max_v = 200"))
    passes = _example()

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for each speed at which a voltage is out of range."""
        flown = _flown(subject)
        for look in flown.speeds if flown else ():
            assert flown is not None and flown.job.profile.flight is not None
            flight = flown.job.profile.flight
            low, high = flight.electrode.min_v, flight.electrode.max_v
            volts = look.flown.volts[look.flown.landings.slot]
            over = look.figures.most_v > high
            if not over and look.figures.least_v >= low:
                continue
            drop = int(volts.argmax() if over else volts.argmin())
            span, strokes = _place(subject, look, drop)
            needed = float(volts[drop])
            yield self.finding(
                subject,
                f"{_at(look)} {_drop(look, drop)} needs {needed:.0f} V, the amplifier ends at "
                f"{high if over else low:g} V",
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


class HeightAtThrow(Rule):
    """Height of characters where products pass nearest and furthest."""

    id = "height-at-throw"
    title = "Characters are too small where products pass near the head"
    rationale = (
        "Drops fan out from the plates, so a product that passes nearer gets smaller characters. "
        "The height is looked at over the whole range the profile states, throw_mm less and more "
        "throw_tolerance_mm, with the charges of throw_mm."
    )
    source = f"the limit is the profile's own, min_character_height_mm; heights: {_MODEL}"
    trips = _example(
        ("throw_tolerance_mm = 1", "throw_tolerance_mm = 8"), ("height_mm = 1.2", "height_mm = 2.2")
    )
    passes = _example(("height_mm = 1.2", "height_mm = 2.2"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for each end of the throw at which characters are too small."""
        flown = _flown(subject)
        least = subject.profile.product.min_character_height_mm if subject.profile else None
        for look in flown.throws if flown and least is not None else ():
            height = look.figures.height_mm
            if height is None or least is None or height + 1e-9 >= least:
                continue
            assert flown is not None
            yield self.finding(
                subject,
                f"{_at(look)} characters are {height:.2f} mm high; {least:g} mm are asked for",
                subject.message.raster_span,
                self._remedy(flown, look, height, least),
                measured=height,
                limit=least,
                unit="mm",
            )

    @staticmethod
    def _remedy(flown: Inspection, look: Look, height: float, least: float) -> str:
        """The throw at which the height is just kept, between here and the usual throw."""
        usual = flown.speeds[0].figures.height_mm
        taller = "or use a font of more drops"
        if usual is None or usual <= least:
            return f"raise row_pitch_mm, {taller}"
        part = (usual - least) / (usual - height)
        room = floor(abs(look.case.throw_mm - flown.job.throw_mm) * part * 10) / 10
        return f"guide products to within {room:g} mm of {flown.job.throw_mm:g} mm, {taller}"


class SlantInFlight(Rule):
    """Lean of strokes once the flight is counted in."""

    id = "slant-in-flight"
    title = "The flight of the drops makes characters lean too far"
    severity = Severity.WARNING
    rationale = (
        "Strongly deflected drops fly a longer way and lose speed in still air, so they arrive "
        "late and add to the lean of the strokes. Found only where `slant`, which looks at the "
        "firing alone, does not speak already."
    )
    source = f"limit of 20 degrees: common practice, no source; flight: {_MODEL}"
    trips = _example(("[1.2]", "[4.6]"), ("pitch_mm = 0.35\np", "pitch_mm = 1\np"))
    passes = _example()

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for each speed at which the flight makes strokes lean too far."""
        flown = _flown(subject)
        for look in flown.speeds if flown else ():
            assert flown is not None
            lean, speed = look.figures.slant_deg, look.case.speed_m_s
            if lean is None or abs(lean) <= MOST_SLANT_DEG or _leans_anyway(flown.job, speed):
                continue
            slower = floor(speed * _tangent(MOST_SLANT_DEG) / _tangent(abs(lean)) * 100) / 100
            yield self.finding(
                subject,
                f"{_at(look)} the strokes lean by {abs(lean):.1f} degrees as they land",
                subject.message.raster_span,
                f"slow to {slower:g} m/s, or fire the other end of the strokes first",
                measured=abs(lean),
                limit=MOST_SLANT_DEG,
                unit="degrees",
            )


def _tangent(angle_deg: float) -> float:
    return tan(radians(angle_deg))


def _leans_anyway(job: Job, speed_m_s: float) -> bool:
    """Whether the strokes lean too far by their firing alone."""
    head = job.profile.head
    lean = abs(slant_mm(job.raster, head.drop_frequency_hz, speed_m_s))
    return lean > _tangent(MOST_SLANT_DEG) * (job.raster.drops - 1) * head.row_pitch_mm
