"""The jet of a profile: what sets it, what moves it, and how far it may move."""

from dataclasses import replace
from pathlib import Path

import msgspec
import pytest

from rasterc.diagnostics import InputError
from rasterc.head.ink import ink_at, interpolated_mpa_s
from rasterc.head.jet import JetModel
from rasterc.head.jet_limits import jet_state_faults
from rasterc.head.jet_map import jet_map
from rasterc.head.jet_state import JetSetting
from rasterc.head.jet_window import rooms, shifts
from rasterc.head.liquids import LIQUIDS, mixed_viscosity_mpa_s, viscosity_mpa_s
from rasterc.profile.load import parse_profile

TEXT = Path(__file__).with_name("jet-trial.toml").read_text()


def model(*changes):
    text = TEXT
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return JetModel(parse_profile(text))


@pytest.fixture(scope="module")
def trial():
    return model()


def codes(jet, setting=None):
    return [fault.code for fault in jet_state_faults(jet, jet.state(setting))]


def test_as_it_is_set_it_is_as_the_profile_says(trial):
    state = trial.state()
    assert state.speed_m_s == pytest.approx(20, rel=1e-9)
    assert state.pressure_pa == pytest.approx(390e3, rel=1e-9)
    assert state.ink.viscosity_pa_s == pytest.approx(3.5e-3)
    assert codes(trial) == []
    # sphere of one wavelength of jet
    assert state.drop_mass_kg == pytest.approx(900 * 3.141593 / 4 * 55e-6**2 * 20 / 70e3, rel=1e-6)


def test_pressure_and_viscosity_act_on_the_speed(trial):
    # Bernoulli: without friction speed goes with the root of pressure; friction only adds to that
    faster = trial.state(JetSetting(pressure=1.02)).speed_m_s
    assert 20 * 1.02**0.5 < faster < 20 * 1.02
    assert trial.state(JetSetting(viscosity=1.1)).speed_m_s < 20
    frictionless = model(("nozzle_length_um = 40\n", ""))
    assert frictionless.state(JetSetting(viscosity=1.1)).speed_m_s == pytest.approx(20, rel=1e-9)


def test_thicker_ink_breaks_up_later(trial):
    # + 10 % at one speed: 0.67 drop periods for a like jet (computed outside)
    same_speed = model(("nozzle_length_um = 40\n", ""))
    later = same_speed.state(JetSetting(viscosity=1.1)).breakup_periods
    assert later - same_speed.state().breakup_periods == pytest.approx(0.67, abs=0.06)
    moved = {shift.change: shift for shift in shifts(trial, JetSetting())}
    assert moved["viscosity + 10 %"].speed < 0
    assert moved["5 % more make-up"].periods < 0
    assert moved["5 degrees warmer"].speed > 0
    assert set(moved) == {
        "pressure + 1 %", "viscosity + 10 %", "modulation + 10 %", "5 degrees warmer",
        "5 % more make-up",
    }  # fmt: skip


def test_drive_and_place_of_breakup_say_the_same(trial):
    seen = trial.state().breakup_m * 1e3
    other = model(("modulation = 0.01", f"breakup_mm = {seen}"))
    assert other.state().modulation == pytest.approx(0.01, rel=1e-9)


def test_a_pressure_that_cannot_throw_the_jet_is_refused():
    with pytest.raises(InputError) as caught:
        model(("pressure_kpa = 390", "pressure_kpa = 200"))
    assert "takes 310 kPa" in caught.value.diagnostics[0].message
    with pytest.raises(InputError) as caught:
        model().state(JetSetting(pressure=100))
    assert caught.value.diagnostics[0].code == "bad-pressure"


def test_ink_by_temperature_and_make_up(trial):
    ink, butanone = trial.flight.ink, LIQUIDS["butanone"]
    cold = ink_at(ink, 5).viscosity_pa_s * 1e3
    # keeps its ratio to its make-up
    ratio = viscosity_mpa_s(butanone, 5) / viscosity_mpa_s(butanone, 20)
    assert cold == pytest.approx(3.5 * ratio)
    assert ink_at(ink, 30).surface_tension_n_m == pytest.approx(0.025 - 10 * 0.1122e-3)
    thin = ink_at(ink, 20, 0.2).viscosity_pa_s * 1e3
    assert thin == pytest.approx(3.5**0.8 * viscosity_mpa_s(butanone, 20) ** 0.2)
    assert 804.9 < ink_at(ink, 20, 0.2).density_kg_m3 < 900
    # Grunberg and Nissan: G thickens most half-way, and nothing at the ends
    assert mixed_viscosity_mpa_s(3, 1, 0.5, 1.0) == pytest.approx(3**0.5 * 2.718282**0.25)
    assert mixed_viscosity_mpa_s(3, 1, 1.0, 1.0) == pytest.approx(1)


def test_measured_viscosities_are_believed():
    points = "\nviscosity_by_c = [[5, 5.0], [40, 2.0]]"
    measured = model(("viscosity_mpa_s = 3.5", "viscosity_mpa_s = 3.5" + points))
    ink = measured.flight.ink
    assert ink_at(ink, 5).viscosity_pa_s == pytest.approx(5e-3)
    assert ink_at(ink, 20).viscosity_pa_s == pytest.approx(3.5e-3)
    assert 2e-3 < ink_at(ink, 30).viscosity_pa_s < 3.5e-3
    assert ink_at(ink, 50).viscosity_pa_s < 2e-3
    # straight in 1 / T: Andrade's law comes back exactly
    points = [(t, 0.01 * 2.718281828 ** (1700 / (t + 273.15))) for t in (10, 35)]
    assert interpolated_mpa_s(points, 22) == pytest.approx(
        0.01 * 2.718281828 ** (1700 / 295.15), rel=1e-9
    )


@pytest.mark.parametrize(
    ("temperature", "make_up", "code"),
    [(35, 0.0, "one-temperature"), (None, 0.1, "no-make-up"), (90, 0.0, "bad-temperature"),
     (None, 1.5, "bad-make-up"), (float("nan"), 0.0, "bad-temperature")],
)  # fmt: skip
def test_what_the_profile_does_not_tell_is_refused(temperature, make_up, code):
    silent = model(('make_up = "butanone"\n', ""))
    with pytest.raises(InputError) as caught:
        ink_at(silent.flight.ink, temperature, make_up)
    assert caught.value.diagnostics[0].code == code
    assert caught.value.diagnostics[0].help


def test_the_room_of_each_setting_holds_on_both_sides(trial):
    found = {room.setting: room for room in rooms(trial, JetSetting())}
    assert set(found) == {"pressure", "viscosity", "temperature", "make-up", "modulation"}
    usual = trial.state()
    half = trial.window(usual).part / 2
    room = found["viscosity"]
    assert room.low_limit == room.high_limit == "charge phase"
    for edge, outwards in ((room.low, -1), (room.high, 1)):
        for step, inside in ((-1e-4, True), (1e-4, False)):
            setting = JetSetting(viscosity=(edge + outwards * step) / room.usual)
            shift = trial.state(setting).breakup_periods - usual.breakup_periods
            assert (abs(shift) <= half) is inside
    assert found["make-up"].low == 0
    assert found["make-up"].low_limit is None


def test_no_room_is_told_where_nothing_ends_it():
    assert rooms(model(("modulation = 0.01\n", "")), JetSetting()) == []
    assert rooms(model(("from_nozzle_mm = 7.5", "from_nozzle_mm = 20")), JetSetting()) == []
    nowhere = model(("from_nozzle_mm = 7.5\n", ""), ("settle_us = 3\n", ""))
    assert rooms(nowhere, JetSetting()) == []


def test_a_jet_breaks_bounds(trial):
    assert codes(trial, JetSetting(absolute_modulation=0.2)) == ["breakup-place"]
    assert "satellites" in codes(trial, JetSetting(pressure=0.6))
    assert (
        codes(model(("drop_frequency_hz = 70_000", "drop_frequency_hz = 150_000")))[0]
        == "no-breakup"
    )
    assert "no-charge-window" in codes(model(("settle_us = 3", "settle_us = 20")))
    assert "wind" in codes(trial, JetSetting(pressure=2.0))
    fast = model(("viscosity_mpa_s = 3.5", "viscosity_mpa_s = 0.5"), ("pressure_kpa = 390\n", ""))
    assert "turbulent" in codes(fast, JetSetting(pressure=1.8))


def test_a_map_holds_the_states_of_its_points(trial):
    found = jet_map(trial, JetSetting(), [0.01, 0.05], [350.0, 390.0], [3.0, 3.5])
    assert len(found.states) == 8
    assert found.broken[0.01, 390.0, 3.5] == ()
    there = found.states[0.05, 350.0, 3.0]
    setting = JetSetting(pressure=350 / 390, viscosity=3 / 3.5, absolute_modulation=0.05)
    assert there.breakup_m == pytest.approx(trial.state(setting).breakup_m, rel=1e-9)
    assert replace(there, modulation=0.01, breakup_s=0) != there


def test_what_a_profile_says_twice_must_agree():
    with pytest.raises(InputError) as caught:
        model(
            ("modulation = 0.01", "modulation = 0.01\nbreakup_mm = 9"),
            ("nozzle_um = 55", "nozzle_um = 55\njet_um = 60"),
            ("viscosity_mpa_s = 3.5", "viscosity_mpa_s = 3.5\nviscosity_by_c = [[20, 4.5]]"),
        )
    assert [d.code for d in caught.value.diagnostics] == ["twice", "wide-jet", "two-viscosities"]
    assert all(d.help for d in caught.value.diagnostics)


def test_a_dot_follows_from_the_contact_angle():
    from rasterc.head.landing import landing_of
    from rasterc.head.model import head_model, jet_summary

    by_angle = (("spread_ratio = 3.5\n", ""), ("[flight.plates]", SURFACE))
    with pytest.raises(InputError) as caught:
        head_model(model(*by_angle).profile)
    [fault] = caught.value.diagnostics
    # 2.13 drop diameters at 30 degrees
    assert "dot_diameter_mm = 0.23" in fault.help
    fitted = model(*by_angle, ("dot_diameter_mm = 0.38", "dot_diameter_mm = 0.232"))
    assert jet_summary(fitted.profile).dot_diameter_mm == pytest.approx(2.13 * 0.109, abs=1e-3)
    landing = landing_of(fitted.profile, fitted.state())
    assert landing.cap == landing.ratio == pytest.approx(2.13, abs=5e-3)
    assert landing.wetted is True
    with pytest.raises(InputError) as caught:
        head_model(model(("spread_ratio = 3.5\n", "")).profile)
    assert caught.value.diagnostics[0].code == "no-spread"


SURFACE = """[flight.surface]
contact_angle_deg = 30
material = "PE"

[flight.plates]"""


def test_a_drop_that_the_air_stops_does_not_land():
    from rasterc.head.landing import landing_of

    small = model(
        ("nozzle_um = 55", "nozzle_um = 20"), ("jet_speed_m_s = 20", "jet_speed_m_s = 5"),
        ("drop_frequency_hz = 70_000", "drop_frequency_hz = 20_000"),
        ("drop_diameter_um = 109.0", "drop_diameter_um = 53.1"), ("pressure_kpa = 390\n", ""),
        ("dot_diameter_mm = 0.38", "dot_diameter_mm = 0.186"), ("bore_um = 800", "bore_um = 300"),
        ("throw_mm = 15", "throw_mm = 90"),
    )  # fmt: skip
    assert landing_of(small.profile, small.state()) is None


def test_dragged_air_grows_with_the_line_only_at_its_upper_bound(trial):
    from rasterc.head.landing import landing_of

    profile = msgspec.structs.replace(
        trial.profile, line=msgspec.structs.replace(trial.profile.line, speeds_m_s=[1.0, 5.0, 18.0])
    )
    found = landing_of(profile, trial.state()).draughts
    # 37, 190 and 670 um for half the product's speed across 15 mm (computed outside, a like head)
    assert [d.most_mm for d in found] == pytest.approx([0.037, 0.19, 0.67], rel=0.1)
    assert len({d.least_mm for d in found}) == 1
