"""What is wrong with a jet, or only just right, each with its bound."""

from __future__ import annotations

from collections.abc import Iterator
from math import isnan, pi

from rasterc.diagnostics import Severity
from rasterc.head.breakup import gas_weber_bound
from rasterc.head.jet import JetModel, JetState
from rasterc.head.limits import FlightFault

FEW_SATELLITES = (5.0, 7.0)
"""Wavelengths in jet diameters where satellites are least likely.

Source: Pimbley and Lee, IBM J. R&D 21 (1977), 21-30 (abstract read). Strong drive delays or avoids
them elsewhere too: how strong, no source told.
"""
LAMINAR = 2300.0  # Reynolds number of a pipe; textbook
JETTING = 4.0  # Weber number; Clanet and Lasheras, J. Fluid Mech. 383 (1999) (from memory)


def jet_state_faults(model: JetModel, state: JetState) -> list[FlightFault]:
    """Everything a jet breaks at a setting, errors first."""
    faults = [
        *_wavelength(state), *_regime(state), *_place(model, state), *_window(model, state),
    ]  # fmt: skip
    return sorted(faults, key=lambda fault: fault.severity is not Severity.ERROR)


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
