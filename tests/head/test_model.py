"""Heads of profiles: the invented ones, and what can be wrong with one."""

import msgspec
import numpy as np
import pytest

from rasterc.diagnostics import InputError
from rasterc.head.limits import jet_faults
from rasterc.head.model import head_model, jet_summary
from rasterc.profile.load import parse_profile


def changed(profile, **tables):
    """The profile with keys of its flight tables changed: ``jet={"nozzle_um": 40}``."""
    flight = profile.flight
    for table, keys in tables.items():
        part = msgspec.structs.replace(getattr(flight, table), **keys)
        flight = msgspec.structs.replace(flight, **{table: part})
    return msgspec.structs.replace(profile, flight=flight)


@pytest.mark.parametrize("name", ["fine", "middle", "coarse"])
def test_the_invented_heads_are_usual_ones(profiles, name):
    # ranges of the trade, common practice from memory: nozzle 40 to 80 um, jet 15 to 25 m/s,
    # 50 to 150 kHz, electrode 50 to 350 V
    summary = jet_summary(profiles[name])
    assert jet_faults(summary) == []
    assert 15 <= profiles[name].flight.jet.jet_speed_m_s <= 25
    assert 50e3 <= profiles[name].head.drop_frequency_hz <= 150e3
    assert profiles[name].flight.electrode.max_v <= 350
    # Rayleigh: drops of a jet near its optimum are 1.89 jet diameters (within the tenth here)
    nozzle = profiles[name].flight.jet.nozzle_um
    assert summary.drop_diameter_um == pytest.approx(1.89 * nozzle, rel=0.06)


def test_a_summary_by_hand(profiles):
    # definitions of the dimensionless numbers, figures of head-middle.toml
    summary = jet_summary(profiles["middle"])
    assert summary.wavelength_um == pytest.approx(20 / 67.5e3 * 1e6)
    assert summary.wavelength_per_nozzle == pytest.approx(20 / 67.5e3 / 57e-6)
    assert summary.weber == pytest.approx(900 * 20**2 * 57e-6 / 0.025)
    assert summary.jet_reynolds == pytest.approx(900 * 20 * 57e-6 / 3.5e-3)
    # Oh = sqrt(We) / Re
    assert summary.ohnesorge == pytest.approx(np.sqrt(summary.weber) / summary.jet_reynolds)
    assert summary.flight_ms == pytest.approx((5 + 24 + 15) / 20)
    assert summary.drop_mass_ng == pytest.approx(
        900 * np.pi / 4 * 57e-6**2 * summary.wavelength_um * 1e-6 * 1e12
    )


def test_a_profile_without_flight_says_what_to_add(profiles):
    with pytest.raises(InputError) as caught:
        head_model(msgspec.structs.replace(profiles["middle"], flight=None))
    [fault] = caught.value.diagnostics
    assert fault.code == "no-flight"
    assert "[flight.jet]" in fault.help


def test_all_contradictions_are_reported(profiles):
    profile = changed(
        profiles["middle"],
        jet={"nozzle_um": 80.0},
        ink={"spread_ratio": 2.0},
        electrode={"bore_um": 120.0, "min_v": 50.0, "max_v": 40.0},
    )
    with pytest.raises(InputError) as caught:
        head_model(profile)
    codes = [d.code for d in caught.value.diagnostics]
    assert codes == ["drop-size", "dot-size", "narrow-electrode", "no-voltage"]
    assert all(d.help for d in caught.value.diagnostics)


def test_a_fault_of_a_flight_table_is_named_at_its_line():
    with pytest.raises(InputError) as caught:
        parse_profile(FLIGHT_FAULTS)
    found = {(d.code, d.span.line) for d in caught.value.diagnostics}
    assert {("wrong-value", 15), ("unknown-key", 17), ("missing-key", 13)} <= found


FLIGHT_FAULTS = """name = "x"
[head]
drop_frequency_hz = 73000
throw_mm = 15
row_pitch_mm = 0.3
drop_diameter_um = 107
[line]
speeds_m_s = [1]
stroke_pitch_mm = 0.3
[product]
dot_diameter_mm = 0.4
# the flight
[flight]
[flight.jet]
nozzle_um = 5
jet_speed_m_s = 20
noozle = 4
"""


def test_unusual_jets_are_noted(profiles):
    far = jet_summary(profiles["middle"])
    wide = changed(profiles["middle"], jet={"jet_speed_m_s": 39.9})
    wide = msgspec.structs.replace(
        wide, head=msgspec.structs.replace(wide.head, drop_diameter_um=135.4),
        product=msgspec.structs.replace(wide.product, dot_diameter_mm=0.474),
    )  # fmt: skip
    [fault] = jet_faults(jet_summary(wide))
    assert fault.code == "wavelength"
    assert fault.measured == pytest.approx(far.wavelength_per_nozzle * 39.9 / 20)
    assert fault.limit == 7
