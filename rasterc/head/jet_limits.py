"""What is wrong with a jet, or only just right, each with its bound."""

from __future__ import annotations

from collections.abc import Iterator
from math import isnan, pi

from rasterc.diagnostics import Severity
from rasterc.head.breakup import gas_weber_bound
from rasterc.head.charging import tunnel_induction
from rasterc.head.jet import JetModel
from rasterc.head.jet_state import JetState
from rasterc.head.limits import FlightFault

FEW_SATELLITES = (5.0, 7.0)
"""Wavelengths in jet diameters where satellites are least likely.

Source: Pimbley and Lee, IBM J. R&D 21 (1977), 21-30 (abstract read). Strong drive delays or avoids
them elsewhere too: how strong, no source told.
"""
LAMINAR = 2300.0  # Reynolds number of a pipe; textbook
TUNNEL_SPACINGS = (0.5, 1.2)  # bore radii: where `tunnel_induction` holds
FAR_INDUCTION = 0.25  # off by so much of it; assumption
INDUCTION_HELP = "leave induction out of [flight.electrode], or measure it"
JETTING = 4.0  # Weber number; Clanet and Lasheras, J. Fluid Mech. 383 (1999) (from memory)


def jet_state_faults(model: JetModel, state: JetState) -> list[FlightFault]:
    """Everything a jet breaks at a setting, errors first."""
    faults = [
        *_wavelength(state), *_regime(state), *_place(model, state), *_window(model, state),
    ]  # fmt: skip
    return sorted(faults, key=lambda fault: fault.severity is not Severity.ERROR)


def electrode_faults(model: JetModel) -> list[FlightFault]:
    """Induction in the profile that its tunnel does not give, or that no formula gives."""
    electrode, state = model.flight.electrode, model.state()
    bore_m = electrode.bore_um * 1e-6
    formula = tunnel_induction(bore_m, state.wavelength_m)[0]
    said = electrode.induction
    if said is None:
        spacing, (low, high) = 2 * state.wavelength_m / bore_m, TUNNEL_SPACINGS
        if low <= spacing <= high:
            return []
        message = (
            f"drops stand {spacing:.2f} bore radii apart: what they induce on each other is known "
            f"between {low:g} and {high:g}, and continued beyond"
        )
        limit = low if spacing < low else high
        return [_fault("induction", message, INDUCTION_HELP, (spacing, limit, "radii"))]
    first = said[0] if said else 0.0
    if abs(first - formula) <= FAR_INDUCTION * formula:
        return []
    message = (
        f"the profile says that drops induce {first:.3f} of their charge on the next one; a tunnel "
        f"of this bore makes it {formula:.3f}"
    )
    return [_fault("induction", message, INDUCTION_HELP, (first, formula, ""))]


def _fault(
    code: str, message: str, help: str, figures: tuple[float, float, str], error: bool = False
) -> FlightFault:
    severity = Severity.ERROR if error else Severity.WARNING
    return FlightFault(code, message, help, severity, *figures)


def _wavelength(state: JetState) -> Iterator[FlightFault]:
    ratio, (low, high) = state.wavelengths, FEW_SATELLITES
    if ratio <= pi:
        said = f"drops would form {ratio:.2f} jet diameters apart; below pi nothing grows"
        help = "lower the drop frequency or raise the pressure"
        yield _fault("no-breakup", said, help, (ratio, pi, "diameters"), error=True)
    elif not low <= ratio <= high:
        limit = low if ratio < low else high
        said = (
            f"drops form {ratio:.2f} jet diameters apart; satellites are least likely between "
            f"{low:g} and {high:g}"
        )
        better = state.frequency_hz * ratio / limit / 1e3
        help = f"a drop frequency of {better:.1f} kHz, or look for satellites with a strobe"
        yield _fault("satellites", said, help, (ratio, limit, "diameters"))


def _regime(state: JetState) -> Iterator[FlightFault]:
    if state.weber < JETTING:
        said = f"the Weber number is {state.weber:.1f}: the nozzle drips"
        yield _fault("drips", said, "raise the pressure", (state.weber, JETTING, ""), error=True)
    if state.reynolds > LAMINAR:
        said = f"the Reynolds number of the jet is {state.reynolds:.0f}: it may be turbulent"
        help = "lower the pressure; take the rest as a guess"
        yield _fault("turbulent", said, help, (state.reynolds, LAMINAR, ""))
    bound = gas_weber_bound(state.ohnesorge)
    if state.gas_weber > bound:
        said = f"the Weber number of the air is {state.gas_weber:.2f}: wind takes part in breakup"
        help = "lower the pressure; breakup is then earlier and less even than told here"
        yield _fault("wind", said, help, (state.gas_weber, bound, ""))


def _place(model: JetModel, state: JetState) -> Iterator[FlightFault]:
    """Breakup outside the tunnel, or near one of its ends."""
    reach, tunnel, at = model.tunnel_reach_m, model.tunnel_m, state.breakup_m
    if reach is None or tunnel is None or isnan(at) or state.wavelengths <= pi:
        return
    inside = tunnel[0] < at < sum(tunnel)
    if reach[0] <= at <= reach[1]:
        return
    early = at < (tunnel[0] + sum(tunnel[:])) / 2
    where = ("before" if early else "beyond") if not inside else "near an end of"
    limit = min(reach, key=lambda end: abs(end - at))
    said = (
        f"drops break off {at * 1e3:.2f} mm from the nozzle, {where} the tunnel, which begins at "
        f"{tunnel[0] * 1e3:g} and ends at {sum(tunnel) * 1e3:g} mm"
    )
    help = f"{'lower' if early else 'raise'} the modulation, or move the electrode"
    yield _fault("breakup-place", said, help, (at * 1e3, limit * 1e3, "mm"), error=not inside)


def _window(model: JetModel, state: JetState) -> Iterator[FlightFault]:
    window = model.window(state)
    if window is not None and window.open_s <= 0:
        said = (
            f"the voltage takes longer to settle than the {window.period_s * 1e6:.1f} us of a drop "
            "period: no drop gets its full charge"
        )
        help = "a quicker amplifier, an ink that conducts better, or a lower drop frequency"
        yield _fault("no-charge-window", said, help, (0.0, 0.0, "us"), error=True)
