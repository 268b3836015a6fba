"""A jet in words and small tables, within 80 columns."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import isnan

from rasterc.diagnostics import visible
from rasterc.head.breakup import gas_weber_bound, viscous_growth_per_s
from rasterc.head.jet import JetModel
from rasterc.head.jet_limits import FEW_SATELLITES, JETTING, LAMINAR
from rasterc.head.jet_map import JetMap
from rasterc.head.jet_state import JetState
from rasterc.head.jet_window import Room, Shift
from rasterc.head.landing import Landing
from rasterc.head.limits import FlightFault
from rasterc.head.line import LineEffect
from rasterc.head.liquids import LIQUIDS, vapour_pressure_kpa
from rasterc.head.nozzle import relaxed_jet
from rasterc.head.phase import SETTLED
from rasterc.output.flights.text import WIDTH, table, wrapped

NEVER_TOLD = (
    "how high a disturbance the drive's voltage makes, how large satellites are and which way they "
    "merge, how long a neck takes to part, and whether drops of solvent splash (drops of water of "
    "12 to 100 um do not, up to 100 m/s): no source carries that far"
)


def _line(label: str, text: str) -> str:
    from textwrap import fill

    return fill(visible(text), WIDTH, initial_indent=f"  {label:<12}", subsequent_indent=" " * 14)


def state_lines(model: JetModel, state: JetState, temperature_c: float) -> list[str]:
    """The figures of a jet with their bounds, a line each."""
    ink = state.ink
    fastest = viscous_growth_per_s(
        state.best_wavelength_m, state.diameter_m, ink.density_kg_m3,
        ink.surface_tension_n_m, ink.viscosity_pa_s,
    )  # fmt: skip
    low, high = FEW_SATELLITES
    slower = 1 - state.drop_speed_m_s / state.speed_m_s
    return [
        _line(
            "ink",
            f"{ink.viscosity_pa_s * 1e3:.2f} mPa s, {ink.surface_tension_n_m * 1e3:.1f} mN/m, "
            f"{ink.density_kg_m3:.0f} kg/m3 at {temperature_c:g} degrees C",
        ),
        _line("pressure", _pressure(model, state)),
        _line("jet", _width(model, state)),
        _line(
            "numbers",
            f"We {state.weber:.0f} (jets above {JETTING:g}), Re {state.reynolds:.0f} (laminar "
            f"below {LAMINAR:.0f}), Oh {state.ohnesorge:.3f} (growth by Weber holds at any), We of "
            "the air "
            f"{state.gas_weber:.2f} (wind above {gas_weber_bound(state.ohnesorge):.2f})",
        ),
        _line(
            "wavelength",
            f"{state.wavelengths:.2f} jet diameters; fastest growth at "
            f"{state.best_wavelength_m / state.diameter_m:.2f}, satellites least likely at "
            f"{low:g} to {high:g}",
        ),
        _line(
            "growth",
            f"{state.growth_per_s:.0f} per second, {state.growth_per_s / fastest * 100:.0f} % of "
            "the fastest",
        ),
        _line("breakup", _breakup(state)),
        _line("tunnel", _tunnel(model)),
        _line("charging", _charging(model, state)),
        _line(
            "drops",
            f"{state.drop_diameter_m * 1e6:.1f} um, {state.drop_mass_kg * 1e12:.0f} ng, "
            f"{state.drop_speed_m_s:.2f} m/s ({slower * 100:.2f} % slower than the jet)",
        ),
        *_make_up(model, temperature_c),
    ]


def _width(model: JetModel, state: JetState) -> str:
    """Speed and width of the jet; the bounds of the width where the profile leaves it to us."""
    said, nozzle_m = f"{state.speed_m_s:.2f} m/s, ", model.flight.jet.nozzle_um * 1e-6
    if model.flight.jet.jet_um is not None:
        return f"{said}{state.diameter_m * 1e6:.1f} um wide, by the profile"
    narrow_m, _ = relaxed_jet(nozzle_m, 1.0, developed=True)
    return (
        f"{said}{state.diameter_m * 1e6:.1f} um wide, as its nozzle; behind a long bore "
        f"{narrow_m * 1e6:.1f} um: short ones lie between, jet_um tells"
    )


def _pressure(model: JetModel, state: JetState) -> str:
    said = f"{state.pressure_pa / 1e3:.0f} kPa"
    if model.flight.jet.pressure_kpa is None:
        return f"{said} at least: pipes, filters and the nozzle's entry are not counted"
    return f"{said}; besides friction in the bore {model.loss:.2f} velocity heads are lost"


def _breakup(state: JetState) -> str:
    undriven = f"undriven at {state.undriven_m * 1e3:.0f} mm at most"
    if isnan(state.breakup_m) or state.growth_per_s <= 0:
        return f"place not told; {undriven}"
    return (
        f"{state.breakup_m * 1e3:.2f} mm from the nozzle, {state.breakup_periods:.1f} drop periods "
        f"on its way, at a modulation of {state.modulation:.2g} of the radius; {undriven}"
    )


def _tunnel(model: JetModel) -> str:
    if model.tunnel_m is None or model.tunnel_reach_m is None:
        return "place not told"
    start, length = model.tunnel_m
    low, high = model.tunnel_reach_m
    return (
        f"{start * 1e3:g} to {(start + length) * 1e3:g} mm from the nozzle; its ends matter less "
        f"than {SETTLED * 100:g} % between {low * 1e3:.2f} and {high * 1e3:.2f} mm"
    )


def _charging(model: JetModel, state: JetState) -> str:
    window = model.window(state)
    if window is None:
        return "window not told"
    ink = "the ink's own delay not told"
    if not isnan(window.ink_s):
        ink = f"charge flows along the ink with a time constant of {window.ink_s * 1e6:.2f} us"
    return (
        f"breakup may fall in {window.open_s * 1e6:.1f} of the {window.period_s * 1e6:.1f} us of a "
        f"drop period ({window.part * 100:.0f} %): the amplifier settles in "
        f"{window.settle_s * 1e6:g} us, {ink}"
    )


def _make_up(model: JetModel, temperature_c: float) -> Iterator[str]:
    solvent = model.flight.ink.make_up
    if solvent is not None:
        pressure = vapour_pressure_kpa(LIQUIDS[solvent], temperature_c)
        yield _line("make-up", f"{solvent}, vapour pressure {pressure:.2f} kPa: flammable")


def landing_lines(model: JetModel, landing: Landing | None) -> list[str]:
    """What becomes of a drop on the product, a line each."""
    if landing is None:
        return [_line("landing", "a drop alone is stopped by the air before the product")]
    cap = ""
    if landing.cap is not None:
        angle = model.flight.surface.contact_angle_deg
        cap = f"; at {angle:g} degrees it rests {landing.cap:.2f} wide"
    wetting = {
        None: "",
        True: "; the ink wets {}: drying sets the dot, not the angle",
        False: "; the ink does not wet {} all over",
    }[landing.wetted].format(model.flight.surface.material)
    draughts = "; ".join(
        f"{d.least_mm * 1e3:.0f} to {d.most_mm * 1e3:.0f} um at {d.speed_m_s:g} m/s"
        for d in landing.draughts
    )
    return [
        _line(
            "landing",
            f"{landing.speed_m_s:.1f} m/s after {landing.flight_ms:.2f} ms, a drop alone: We "
            f"{landing.weber:.0f}, Re {landing.reynolds:.0f}; whether it splashes is not known",
        ),
        _line(
            "dot",
            f"{landing.ratio:.2f} drop diameters, {landing.dot_mm:.2f} mm, by the "
            f"profile; while landing {landing.least_spread:.1f} to {landing.most_spread:.1f} at "
            f"most{cap}{wetting}",
        ),
        _line("air dragged", f"carries all drops along by {draughts}"),
        _line("weight", f"{landing.weight_mm * 1e3:.0f} um for all drops, if rows stand upright"),
    ]


def line_lines(effects: Sequence[LineEffect]) -> Iterator[str]:
    """What the line does to codes, a line for each speed; nothing where nothing is told."""
    for effect in effects:
        if said := effect.in_words():
            yield _line("line", f"at {effect.speed_m_s:g} m/s codes: {said}")


def not_told(model: JetModel) -> list[str]:
    """What is left out, and which keys of the profile would tell it."""
    jet, ink, electrode = model.flight.jet, model.flight.ink, model.flight.electrode
    missing = {
        "modulation or breakup_mm in [flight.jet]": jet.modulation is None
        and jet.breakup_mm is None,
        "pressure_kpa in [flight.jet]": jet.pressure_kpa is None,
        "nozzle_length_um in [flight.jet]": jet.nozzle_length_um is None,
        "make_up in [flight.ink]": ink.make_up is None,
        "conductivity_s_m in [flight.ink]": ink.conductivity_s_m is None,
        "from_nozzle_mm and length_mm in [flight.electrode]": model.tunnel_m is None,
        "settle_us in [flight.electrode]": electrode.settle_us is None,
    }
    keys = [key for key, wanted in missing.items() if wanted]
    lines = [wrapped(f"not told by any profile: {NEVER_TOLD}.")]
    if keys:
        lines.append(wrapped(f"not told by this profile: {'; '.join(keys)}."))
    return lines


def shift_lines(shifts: Sequence[Shift]) -> list[str]:
    """What small changes do, a row each."""
    rows = [["a change", "speed", "mass", "deflection", "breakup", "periods"]]
    for s in shifts:
        rows.append(
            [
                s.change, *(f"{part * 100:+.2f} %" for part in (s.speed, s.mass, s.deflection)),
                _signed(s.breakup_mm, " mm"), _signed(s.periods, ""),
            ]
        )  # fmt: skip
    legend = (
        "at the voltages there are; deflection: of a drop alone, without air; periods: drop "
        "periods by which breakup comes later, which the phase of charging must follow"
    )
    return [*table(rows), wrapped(legend)]


def _signed(value: float, unit: str) -> str:
    return "-" if isnan(value) else f"{value:+.2f}{unit}"


def room_lines(rooms: Sequence[Room]) -> list[str]:
    """How far each setting may move, a row each."""
    if not rooms:
        return []
    rows = [["may stay, alone", "now", "from", "to", "", "ends by"]]
    for r in rooms:
        ends = [end or "-" for end in (r.low_limit, r.high_limit)]
        by = ends[0] if ends[0] == ends[1] else " / ".join(ends)
        rows.append([r.setting, *(f"{v:.3g}" for v in (r.usual, r.low, r.high)), r.unit, by])
    legend = (
        "the phase of charging stays as it was set, in the middle of its window; -: not reached"
    )
    return [*table(rows), wrapped(legend)]


def fault_lines(faults: Sequence[FlightFault]) -> list[str]:
    """Each fault and its remedy."""
    lines = []
    for fault in faults:
        lines.append(wrapped(f"{fault.severity}[{fault.code}]: {fault.message}"))
        lines.append(wrapped(f"help: {fault.help}", "    "))
    return lines


MARKS = {
    "no-breakup": "n", "drips": "n", "turbulent": "t", "wind": "w", "breakup-place": "e",
    "no-charge-window": "c", "satellites": "s",
}  # fmt: skip
MARK_WORDS = (
    "n no jet that breaks up, t turbulent, w wind, e breakup outside the tunnel or near its end, "
    "c no charge window, s satellites more likely"
)


def map_lines(found: JetMap) -> list[str]:
    """Breakup in mm by viscosity and pressure, a table for each modulation."""
    lines = []
    for part in found.modulations:
        lines.append(f"  modulation {part:g} of the radius: breakup in mm from the nozzle")
        rows = [["kPa (m/s) \\ mPa s", *(f"{mu:.3g}    " for mu in found.viscosities_mpa_s)]]
        for kpa in reversed(found.pressures_kpa):
            states = [found.states[part, kpa, mu] for mu in found.viscosities_mpa_s]
            middle = states[len(states) // 2]
            speed = "-" if middle is None else f"{middle.speed_m_s:.1f}"
            cells = []
            for mu, state in zip(found.viscosities_mpa_s, states, strict=True):
                marks = "".join(sorted({MARKS[code] for code in found.broken[part, kpa, mu]}))
                usable = state is not None and state.growth_per_s > 0
                length = _length(state.breakup_m * 1e3) if state and usable else "-"
                cells.append(f"{length} {marks:<3}")
            rows.append([f"{kpa:.4g} ({speed})", *cells])
        lines += [*table(rows), ""]
    told = "m/s is the jet's speed at the middle viscosity. The phase of charging is set anew."
    return [*lines, wrapped(f"{MARK_WORDS}. {told}")]


def _length(millimetres: float) -> str:
    return f"{millimetres:.3g}" if millimetres < 999.5 else ">999"
