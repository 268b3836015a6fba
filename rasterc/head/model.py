"""The head as the flight model sees it.

Everything here is published physics with the constants of a line profile, and a few assumptions
that are named where they are made. It compares rasters, firing orders, line speeds and throw
distances with one another. It never says where a drop lands on a real machine to the micrometre:
wakes, image charges and the shape of the field are not known that well.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rasterc.diagnostics import Diagnostic, InputError
from rasterc.head import breakup
from rasterc.head.spread import dot_ratio
from rasterc.profile.flight import Flight
from rasterc.profile.model import LineProfile

SIZE_TOLERANCE = 0.05  # between sizes said twice in a profile; common practice, no source
MAX_IN_FLIGHT = 500  # drops between breakup and product


@dataclass(frozen=True, slots=True)
class HeadModel:
    """A head in SI units, unless the name says otherwise. Hashable: a key of caches.

    Distances along the flight count from the place of breakup; deflections from the jet's axis.
    """

    drop_frequency_hz: float
    jet_speed_m_s: float
    drop_diameter_m: float
    drop_mass_kg: float
    rayleigh_charge_c: float
    charge_per_volt_c: float
    induction: tuple[float, ...]
    min_v: float
    max_v: float
    dac_bits: int
    entry_m: float
    exit_m: float
    field_v_m: float
    fringe_m: float
    middle_m: float
    clearance_m: float
    throw_m: float
    lowest_row_m: float
    row_pitch_m: float
    air_density_kg_m3: float
    air_viscosity_pa_s: float

    @property
    def period_s(self) -> float:
        """Time from one drop to the next."""
        return 1 / self.drop_frequency_hz

    @property
    def product_m(self) -> float:
        """Distance from breakup to the product."""
        return self.exit_m + self.throw_m

    def row_m(self, row: int) -> float:
        """Deflection at which a row lies on the product."""
        return self.lowest_row_m + row * self.row_pitch_m


def head_model(profile: LineProfile) -> HeadModel:
    """The flight model of a profile's head.

    Raises:
        InputError: the profile has no [flight] table, or contradicts itself; every fault.
    """
    flight = profile.flight
    if flight is None:
        raise no_flight(profile)
    faults = list(_contradictions(profile, flight))
    if faults:
        raise InputError(faults)
    return _build(profile, flight)


def no_flight(profile: LineProfile) -> InputError:
    """The report that a profile does not describe its head."""
    return InputError.one(
        "no-flight",
        f'the profile "{profile.name}" does not describe the flight of the drops',
        help="add the tables [flight], [flight.jet], [flight.ink], [flight.electrode] and "
        "[flight.plates]",
    )


def _build(profile: LineProfile, flight: Flight) -> HeadModel:
    from rasterc.head.charging import charge_per_volt_c, rayleigh_charge_c, tunnel_induction
    from rasterc.head.plates import fringe_length_m, middle_m

    jet, ink, electrode, plates = flight.jet, flight.ink, flight.electrode, flight.plates
    frequency = profile.head.drop_frequency_hz
    diameter = formed_diameter_m(profile, flight)
    spacing = breakup.drop_spacing_m(jet.jet_speed_m_s, frequency)
    tunnel = tunnel_induction(electrode.bore_um * 1e-6, spacing)
    return HeadModel(
        drop_frequency_hz=frequency,
        jet_speed_m_s=jet.jet_speed_m_s,
        drop_diameter_m=diameter,
        drop_mass_kg=breakup.sphere_mass_kg(diameter, ink.density_kg_m3),
        rayleigh_charge_c=rayleigh_charge_c(diameter, ink.surface_tension_n_m),
        charge_per_volt_c=charge_per_volt_c(
            jet.diameter_m, electrode.bore_um * 1e-6, spacing, electrode.capacitance_factor
        ),
        induction=tunnel if electrode.induction is None else tuple(electrode.induction),
        min_v=electrode.min_v,
        max_v=electrode.max_v,
        dac_bits=electrode.dac_bits,
        entry_m=plates.to_plates_mm * 1e-3,
        exit_m=(plates.to_plates_mm + plates.length_mm) * 1e-3,
        field_v_m=plates.field_mv_m * 1e6,
        fringe_m=fringe_length_m(plates.gap_mm * 1e-3),
        middle_m=middle_m(plates.gap_mm * 1e-3, plates.clearance_mm * 1e-3),
        clearance_m=plates.clearance_mm * 1e-3,
        throw_m=profile.head.throw_mm * 1e-3,
        lowest_row_m=flight.lowest_row_mm * 1e-3,
        row_pitch_m=profile.head.row_pitch_mm * 1e-3,
        air_density_kg_m3=flight.air.density_kg_m3,
        air_viscosity_pa_s=flight.air.viscosity_upa_s * 1e-6,
    )


def formed_diameter_m(profile: LineProfile, flight: Flight) -> float:
    """Diameter of the drops the jet breaks into at the profile's drop frequency."""
    jet = flight.jet
    spacing = breakup.drop_spacing_m(jet.jet_speed_m_s, profile.head.drop_frequency_hz)
    return breakup.drop_diameter_m(jet.diameter_m, spacing)


def _contradictions(profile: LineProfile, flight: Flight) -> Iterator[Diagnostic]:
    formed_um = formed_diameter_m(profile, flight) * 1e6
    given_um = profile.head.drop_diameter_um
    if abs(given_um / formed_um - 1) > SIZE_TOLERANCE:
        yield Diagnostic(
            "drop-size",
            f"drop_diameter_um is {given_um:g}, but a jet of {flight.jet.diameter_m * 1e6:g} um at "
            f"{flight.jet.jet_speed_m_s:g} m/s breaks into drops of {formed_um:.1f} um",
            help=f"write drop_diameter_um = {formed_um:.1f}, or correct the width of the nozzle or "
            "jet, the jet speed or the drop frequency",
        )
    yield from _dot_faults(profile, flight)
    if flight.throw_tolerance_mm >= profile.head.throw_mm:
        yield Diagnostic(
            "throw-tolerance",
            f"products that pass {flight.throw_tolerance_mm:g} mm nearer than a throw of "
            f"{profile.head.throw_mm:g} mm would strike the head",
            help=f"throw_tolerance_mm must be below {profile.head.throw_mm:g}",
        )
    way_mm = flight.plates.to_plates_mm + flight.plates.length_mm + profile.head.throw_mm
    in_flight = way_mm * 1e-3 / flight.jet.jet_speed_m_s * profile.head.drop_frequency_hz
    if in_flight > MAX_IN_FLIGHT:
        yield Diagnostic(
            "too-far",
            f"{in_flight:.0f} drops would be in flight over {way_mm:g} mm; the limit is "
            f"{MAX_IN_FLIGHT}",
            help="check jet_speed_m_s, drop_frequency_hz, to_plates_mm, length_mm and throw_mm",
        )
    if flight.electrode.bore_um < 2 * flight.jet.nozzle_um:
        yield Diagnostic(
            "narrow-electrode",
            f"an electrode of {flight.electrode.bore_um:g} um bore is too narrow for a jet of "
            f"{flight.jet.nozzle_um:g} um",
            help=f"bore_um must be at least {2 * flight.jet.nozzle_um:g}",
        )
    if sorted(flight.wake) != flight.wake:
        said = ", ".join(f"{wake:g}" for wake in flight.wake)
        yield Diagnostic(
            "wake-order",
            f"wake is [{said}]: the least must stand first, the greatest last",
            help="write wake = [least, usual, greatest], equal ones where you are sure",
        )
    if flight.electrode.min_v >= flight.electrode.max_v:
        yield Diagnostic(
            "no-voltage",
            f"min_v is {flight.electrode.min_v:g} and max_v {flight.electrode.max_v:g}: no voltage "
            "lies between",
            help="min_v must be below max_v",
        )


def _dot_faults(profile: LineProfile, flight: Flight) -> Iterator[Diagnostic]:
    """Dots whose size is not told, or told twice and differently."""
    given_um, ratio = profile.head.drop_diameter_um, dot_ratio(flight)
    said_mm = profile.product.dot_diameter_mm
    if ratio is None:
        yield Diagnostic(
            "no-spread",
            "the profile does not tell how far a drop spreads where it lands",
            help="write spread_ratio in [flight.ink], or contact_angle_deg in [flight.surface]",
        )
        return
    dot_mm = ratio * given_um / 1000
    if abs(said_mm / dot_mm - 1) > SIZE_TOLERANCE:
        yield Diagnostic(
            "dot-size",
            f"dot_diameter_mm is {said_mm:g}, but drops of {given_um:g} um that spread by "
            f"{ratio:.3g} print dots of {dot_mm:.2f} mm",
            help=f"write dot_diameter_mm = {dot_mm:.2f}, or correct spread_ratio or "
            "contact_angle_deg",
        )


@dataclass(frozen=True, slots=True)
class JetSummary:
    """What follows from the constants of a head before any drop is flown.

    ``flight_ms`` is the time to the product without air: drops take longer.
    """

    wavelength_um: float
    wavelength_per_nozzle: float
    optimum_wavelength_um: float
    drop_diameter_um: float
    drop_mass_ng: float
    dot_diameter_mm: float
    weber: float
    ohnesorge: float
    jet_reynolds: float
    air_reynolds: float
    rayleigh_charge_pc: float
    charge_per_volt_fc: float
    flight_ms: float


def jet_summary(profile: LineProfile) -> JetSummary:
    """The jet and the drops of a profile in figures; raises `InputError` like `head_model`."""
    head = head_model(profile)
    flight = profile.flight
    assert flight is not None
    nozzle_m, speed, ink = flight.jet.diameter_m, head.jet_speed_m_s, flight.ink
    liquid = (ink.density_kg_m3, ink.surface_tension_n_m)
    viscosity = ink.viscosity_mpa_s * 1e-3
    ohnesorge = breakup.ohnesorge(nozzle_m, *liquid, viscosity)
    wavelength = breakup.drop_spacing_m(speed, head.drop_frequency_hz)
    return JetSummary(
        wavelength_um=wavelength * 1e6,
        wavelength_per_nozzle=wavelength / nozzle_m,
        optimum_wavelength_um=breakup.viscous_optimum_m(nozzle_m, ohnesorge) * 1e6,
        drop_diameter_um=head.drop_diameter_m * 1e6,
        drop_mass_ng=head.drop_mass_kg * 1e12,
        dot_diameter_mm=(dot_ratio(flight) or 1.0) * head.drop_diameter_m * 1e3,
        weber=breakup.weber(speed, nozzle_m, *liquid),
        ohnesorge=ohnesorge,
        jet_reynolds=breakup.reynolds(speed, nozzle_m, ink.density_kg_m3, viscosity),
        air_reynolds=breakup.reynolds(
            speed, head.drop_diameter_m, head.air_density_kg_m3, head.air_viscosity_pa_s
        ),
        rayleigh_charge_pc=head.rayleigh_charge_c * 1e12,
        charge_per_volt_fc=head.charge_per_volt_c * 1e15,
        flight_ms=head.product_m / speed * 1e3,
    )
