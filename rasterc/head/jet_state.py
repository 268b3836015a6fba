"""What is set at a jet, and the jet that comes of it, in figures."""

from __future__ import annotations

from dataclasses import dataclass

from rasterc.head.ink import InkState


@dataclass(frozen=True, slots=True)
class JetSetting:
    """What is set at a head; None, 1 and 0 stand for the profile's own.

    Attributes:
        temperature_c: of the ink where it breaks up.
        make_up: part of the mass that is make-up added to the ink as the profile has it.
        pressure: as a part of the profile's own.
        viscosity: as a part of what the ink would have otherwise.
        modulation: as a part of the profile's own.
        absolute_modulation: height of the disturbance as a part of the jet's radius, if not None.
    """

    temperature_c: float | None = None
    make_up: float = 0.0
    pressure: float = 1.0
    viscosity: float = 1.0
    modulation: float = 1.0
    absolute_modulation: float | None = None


@dataclass(frozen=True, slots=True)
class JetState:
    """A jet in figures, SI units; nan where nothing in the profile tells.

    Attributes:
        ink: the liquid.
        pressure_pa: of the ink above the air's.
        speed_m_s, diameter_m: of the jet.
        weber, reynolds, ohnesorge: of the jet, on its diameter.
        gas_weber: of the air it flies through, on the jet's diameter.
        wavelength_m, best_wavelength_m: as driven; the one that grows fastest (Weber).
        growth_per_s: Weber's growth of the wavelength as driven.
        modulation: height of the disturbance at the nozzle as a part of the jet's radius.
        breakup_s: time from nozzle to breakup.
        undriven_m: length at which the jet would break up if nothing drove it.
        drop_speed_m_s, drop_mass_kg, drop_diameter_m: of the drops.
    """

    ink: InkState
    pressure_pa: float
    speed_m_s: float
    diameter_m: float
    weber: float
    reynolds: float
    ohnesorge: float
    gas_weber: float
    frequency_hz: float
    wavelength_m: float
    best_wavelength_m: float
    growth_per_s: float
    modulation: float
    breakup_s: float
    undriven_m: float
    drop_speed_m_s: float
    drop_mass_kg: float
    drop_diameter_m: float

    @property
    def breakup_m(self) -> float:
        """From the nozzle to breakup."""
        return self.breakup_s * self.speed_m_s

    @property
    def breakup_periods(self) -> float:
        """From the nozzle to breakup, in drop periods: its fraction is the phase of breakup."""
        return self.breakup_s * self.frequency_hz

    @property
    def wavelengths(self) -> float:
        """The wavelength in jet diameters."""
        return self.wavelength_m / self.diameter_m
