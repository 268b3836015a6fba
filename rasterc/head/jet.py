"""The jet of a profile at a temperature, share of make-up, pressure and drive."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import exp, isnan, nan

from rasterc.diagnostics import Diagnostic, InputError, fail_on_errors
from rasterc.head import breakup
from rasterc.head.ink import InkState, ink_at
from rasterc.head.jet_state import JetSetting, JetState
from rasterc.head.model import SIZE_TOLERANCE, no_flight
from rasterc.head.nozzle import drop_slowing_m_s, jet_pressure_pa, nozzle_friction_pa
from rasterc.head.phase import charge_window_s, charging_time_s, tunnel_margin_m
from rasterc.profile.flight import Flight
from rasterc.profile.model import LineProfile

SLOWEST_M_S, FASTEST_M_S = 1.0, 100.0  # between which a jet's speed is looked for
MOST_MODULATION = 0.99  # a disturbance as high as the jet: broken at the nozzle
LEAST_LOSS = -0.25  # velocity heads: what the formula for friction may be too high by; assumption


class JetModel:
    """The jet of a profile, fitted to what the profile says of pressure, drive and breakup."""

    def __init__(self, profile: LineProfile) -> None:
        """Raises `InputError`: no flight, or a pressure that cannot throw the jet."""
        if profile.flight is None:
            raise no_flight(profile)
        fail_on_errors(_contradictions(profile.flight))
        self.profile, self.flight = profile, profile.flight
        self.loss = _loss(self.flight)
        self.pressure_pa = self._pressure(ink_at(self.flight.ink), self.flight.jet.jet_speed_m_s)
        self.modulation = self._modulation()

    def state(self, setting: JetSetting | None = None) -> JetState:
        """The jet at a setting; raises `InputError` where the profile does not tell."""
        setting = setting or JetSetting()
        ink = ink_at(self.flight.ink, setting.temperature_c, setting.make_up)
        ink = replace(ink, viscosity_pa_s=ink.viscosity_pa_s * setting.viscosity)
        pressure = self.pressure_pa * setting.pressure
        given = setting.absolute_modulation
        modulation = self.modulation * setting.modulation if given is None else given
        return self._state(ink, pressure, self._speed(ink, pressure), modulation)

    def thrown(self, ink: InkState, speed_m_s: float, diameter_m: float) -> JetState:
        """A jet of another liquid, speed or width, driven as usual; no pressure is told."""
        return self._state(ink, nan, speed_m_s, self.modulation, diameter_m)

    @staticmethod
    def driven(state: JetState, modulation: float) -> JetState:
        """The same jet driven otherwise."""
        return replace(
            state,
            modulation=modulation,
            breakup_s=breakup.breakup_time_s(state.growth_per_s, modulation),
        )

    def _state(
        self,
        ink: InkState,
        pressure: float,
        speed: float,
        modulation: float,
        diameter_m: float | None = None,
    ) -> JetState:
        diameter = self.flight.jet.diameter_m if diameter_m is None else diameter_m
        frequency = self.profile.head.drop_frequency_hz
        liquid = (ink.density_kg_m3, ink.surface_tension_n_m)
        ohnesorge = breakup.ohnesorge(diameter, *liquid, ink.viscosity_pa_s)
        wavelength = breakup.drop_spacing_m(speed, frequency)
        growth = breakup.viscous_growth_per_s(wavelength, diameter, *liquid, ink.viscosity_pa_s)
        best = breakup.viscous_optimum_m(diameter, ohnesorge)
        fastest = breakup.viscous_growth_per_s(best, diameter, *liquid, ink.viscosity_pa_s)
        drop = breakup.drop_diameter_m(diameter, wavelength)
        return JetState(
            ink=ink,
            pressure_pa=pressure,
            speed_m_s=speed,
            diameter_m=diameter,
            weber=breakup.weber(speed, diameter, *liquid),
            reynolds=breakup.reynolds(speed, diameter, ink.density_kg_m3, ink.viscosity_pa_s),
            ohnesorge=ohnesorge,
            gas_weber=breakup.weber(
                speed, diameter, self.flight.air.density_kg_m3, ink.surface_tension_n_m
            ),
            frequency_hz=frequency,
            wavelength_m=wavelength,
            best_wavelength_m=best,
            growth_per_s=growth,
            modulation=min(modulation, MOST_MODULATION),
            breakup_s=breakup.breakup_time_s(growth, min(modulation, MOST_MODULATION)),
            undriven_m=speed * breakup.breakup_time_s(fastest, 2 * breakup.UNDRIVEN_M / diameter),
            drop_speed_m_s=speed - drop_slowing_m_s(speed, diameter, *liquid),
            drop_mass_kg=breakup.sphere_mass_kg(drop, ink.density_kg_m3),
            drop_diameter_m=drop,
        )

    def _pressure(self, ink: InkState, speed: float) -> float:
        return _pressure_pa(self.flight, ink, speed, self.loss)

    def _speed(self, ink: InkState, pressure: float) -> float:
        """The speed that a pressure throws the jet at, by bisection: pressure rises with it."""
        slow, fast = SLOWEST_M_S, FASTEST_M_S
        if not self._pressure(ink, slow) < pressure < self._pressure(ink, fast):
            said = f"{pressure / 1e3:.3g} kPa throws no jet of 1 to 100 m/s through this nozzle"
            raise InputError.one("bad-pressure", said, help="give another pressure")
        for _ in range(60):
            middle = (slow + fast) / 2
            slow, fast = (
                (middle, fast) if self._pressure(ink, middle) < pressure else (slow, middle)
            )
        return (slow + fast) / 2

    def _modulation(self) -> float:
        """The profile's, or the one that breaks the jet where it is seen to break; else nan."""
        jet = self.flight.jet
        if jet.modulation is not None:
            return jet.modulation
        if jet.breakup_mm is None:
            return nan
        state = self._state(ink_at(self.flight.ink), 0.0, jet.jet_speed_m_s, 0.1)
        return exp(-state.growth_per_s * jet.breakup_mm * 1e-3 / jet.jet_speed_m_s)

    def window(self, state: JetState) -> ChargeWindow | None:
        """When drops may break off to be charged rightly; None if the profile does not tell."""
        electrode, ink = self.flight.electrode, self.flight.ink
        if electrode.settle_us is None:
            return None
        period, settle, delay = 1 / state.frequency_hz, electrode.settle_us * 1e-6, nan
        place = self.tunnel_m
        inside = nan if place is None else state.breakup_m - place[0]
        if ink.conductivity_s_m is not None and place is not None and 0 < inside <= place[1]:
            delay = charging_time_s(
                state.diameter_m, ink.conductivity_s_m, electrode.bore_um * 1e-6,
                place[0], inside,
            )  # fmt: skip
        known = 0.0 if isnan(delay) else delay
        return ChargeWindow(period, settle, delay, charge_window_s(period, settle, known))

    @property
    def tunnel_m(self) -> tuple[float, float] | None:
        """From the nozzle to the tunnel, and its length; None if the profile does not tell."""
        electrode = self.flight.electrode
        if electrode.from_nozzle_mm is None or electrode.length_mm is None:
            return None
        return electrode.from_nozzle_mm * 1e-3, electrode.length_mm * 1e-3

    @property
    def tunnel_reach_m(self) -> tuple[float, float] | None:
        """Between which distances from the nozzle breakup is well inside the tunnel."""
        if self.tunnel_m is None:
            return None
        start, length = self.tunnel_m
        margin = tunnel_margin_m(self.flight.electrode.bore_um * 1e-6)
        return start + margin, start + length - margin


@dataclass(frozen=True, slots=True)
class ChargeWindow:
    """Times in s: the drop period, of the amplifier, of the ink (nan: not told), what is left."""

    period_s: float
    settle_s: float
    ink_s: float
    open_s: float

    @property
    def part(self) -> float:
        """What is open, as a part of the drop period."""
        return self.open_s / self.period_s


def _contradictions(flight: Flight) -> list[Diagnostic]:
    """What the profile says twice, and differently."""
    faults, jet, ink = [], flight.jet, flight.ink
    if jet.modulation is not None and jet.breakup_mm is not None:
        said = "modulation and breakup_mm say the same thing twice"
        help = "leave one of them out of [flight.jet]"
        faults.append(Diagnostic("twice", said, help=help))
    if jet.jet_um is not None and jet.jet_um > jet.nozzle_um:
        said = f"a jet of {jet.jet_um:g} um does not come from a nozzle of {jet.nozzle_um:g} um"
        faults.append(Diagnostic("wide-jet", said, help="a jet is as wide as its nozzle at most"))
    for warm, viscosity in ink.viscosity_by_c:
        differs = abs(viscosity / ink.viscosity_mpa_s - 1) > SIZE_TOLERANCE
        if warm == ink.stated_at_c and differs:
            said = (
                f"viscosity_by_c says {viscosity:g} mPa s at {warm:g} degrees C, viscosity_mpa_s "
                f"{ink.viscosity_mpa_s:g}"
            )
            help = "correct one of them, or the temperature stated_at_c"
            faults.append(Diagnostic("two-viscosities", said, help=help))
    return faults


def _pressure_pa(flight: Flight, ink: InkState, speed: float, loss: float) -> float:
    """What throws a jet of this speed through the profile's nozzle."""
    jet = flight.jet
    nozzle_m, length_m = jet.nozzle_um * 1e-6, (jet.nozzle_length_um or 0.0) * 1e-6
    inside = speed * (jet.diameter_m / nozzle_m) ** 2
    friction = nozzle_friction_pa(inside, nozzle_m, length_m, ink.density_kg_m3, ink.viscosity_pa_s)
    return jet_pressure_pa(
        inside, jet.diameter_m, ink.density_kg_m3, ink.surface_tension_n_m, friction, loss
    )


def _loss(flight: Flight) -> float:
    """Velocity heads lost besides friction, from the profile's own pressure; 0 if it tells none."""
    jet, ink = flight.jet, ink_at(flight.ink)
    if jet.pressure_kpa is None:
        return 0.0
    least = _pressure_pa(flight, ink, jet.jet_speed_m_s, 0.0)
    head = _pressure_pa(flight, ink, jet.jet_speed_m_s, 1.0) - least
    loss = (jet.pressure_kpa * 1e3 - least) / head
    if loss < LEAST_LOSS:
        raise InputError.one(
            "pressure",
            f"{jet.pressure_kpa:g} kPa cannot throw a jet at {jet.jet_speed_m_s:g} m/s: through "
            f"this nozzle that takes {least / 1e3:.0f} kPa",
            help="correct pressure_kpa, jet_speed_m_s, jet_um, nozzle_um or nozzle_length_um",
        )
    return loss
