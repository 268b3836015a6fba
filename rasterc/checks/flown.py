"""Messages flown for the rules about flight, and how these rules speak of them."""

from __future__ import annotations

from collections.abc import Callable

from msgspec import structs

from rasterc.checks.model import EXAMPLE_PROFILE, Example, Subject
from rasterc.diagnostics import InputError, Span
from rasterc.head.plan import guard_drops_in_words
from rasterc.head.timing import max_speed_m_s, stroke_rate_limit_hz
from rasterc.layout import compile_strokes, orient
from rasterc.sweep.case import Flown
from rasterc.sweep.inspection import Inspection, Look, inspect
from rasterc.sweep.judge import rounded_down
from rasterc.sweep.model import Figures, Job

_MESSAGE = 'message example { raster 7 font upright-7 block { line: "E" } }'
_PROFILE = (
    EXAMPLE_PROFILE.replace("guard_drops = 1", "guard_drops = 2")
    + """
[flight]
lowest_row_mm = 1.5
throw_tolerance_mm = 0
wake = [1, 1, 1]
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
[flight.plates]
to_plates_mm = 5
length_mm = 20
field_mv_m = 1.2
gap_mm = 4
clearance_mm = 4
"""
)
MODEL = "the flight model of rasterc, from published formulas; see rasterc fly"


def flight_example(*changes: tuple[str, str]) -> Example:
    """The example with parts of its profile changed."""
    profile = _PROFILE
    for old, new in changes:
        profile = profile.replace(old, new)
    return Example(_MESSAGE, profile)


def flown(subject: Subject) -> Inspection | None:
    """The flights of a print; None without a [flight] table, or when it cannot be flown."""
    job = job_of(subject)
    try:
        return inspect(job) if job else None
    except InputError:
        return None  # `flight-profile` says why


def job_of(subject: Subject) -> Job | None:
    """The job of flying a print at the first speed of its line; None when it cannot be said."""
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
    columns = strokes.bits
    lowest = min(rows, default=raster.drops)
    return Job(profile, raster, columns, lowest, profile.line.speeds_m_s[0])


def place(subject: Subject, flown: Flown, drop: int) -> tuple[Span, tuple[int, int]]:
    """The text a printed drop belongs to, in the source, and its stroke."""
    landings, profile = flown.landings, subject.profile
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


def which(flown: Flown, drop: int) -> str:
    """A printed drop, in words."""
    landings = flown.landings
    return f"the drop of row {landings.row[drop]}, stroke {landings.stroke[drop] + 1}"


def where(look: Look, wrong: Callable[[Figures], bool]) -> str:
    """The speed and throw of a flight in words, and under which wakes it goes wrong, if not all."""
    said = f"at {look.case.speed_m_s:g} m/s and a throw of {look.case.throw_mm:g} mm"
    band = zip(look.band.wakes, look.band.figures, strict=True)
    wakes = [f"{wake:g}" for wake, figures in band if wrong(figures)]
    if len(wakes) == len(look.band.wakes):
        return said
    of = ", ".join(f"{wake:g}" for wake in look.band.wakes)
    return f"{said}, if wakes are as strong as {' or '.join(wakes)} (of {of}),"


def one_more_guard(job: Job) -> str:
    """One more guard drop, and the speed it still allows."""
    more = structs.replace(job.raster, guard_drops=job.raster.guard_drops + 1)
    limit = stroke_rate_limit_hz(more, job.profile.head.drop_frequency_hz)
    fastest = rounded_down(max_speed_m_s(limit, job.profile.line.stroke_pitch_mm))
    drops = guard_drops_in_words(more.guard_drops)
    return f"throw {drops} (the raster then follows up to {fastest:g} m/s)"
