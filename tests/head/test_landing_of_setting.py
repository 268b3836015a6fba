"""A drop lands as the jet at its setting throws it, not as the profile's usual one."""

from math import pi
from pathlib import Path

import pytest

from rasterc.head.jet import JetModel
from rasterc.head.jet_state import JetSetting
from rasterc.head.landing import landing_of
from rasterc.profile.load import parse_profile

TEXT = Path(__file__).with_name("jet-trial.toml").read_text()


def test_a_larger_drop_lands_faster_and_prints_a_larger_dot():
    profile = parse_profile(TEXT)
    model = JetModel(profile)
    usual, fast = model.state(), model.state(JetSetting(pressure=1.2))
    assert fast.drop_mass_kg > usual.drop_mass_kg
    before, after = landing_of(profile, usual), landing_of(profile, fast)
    # volume of a wavelength of jet: a sphere of it, and a dot in proportion to that sphere
    volumes = [pi / 6 * (one.dot_mm / one.ratio) ** 3 for one in (before, after)]
    assert volumes[1] / volumes[0] == pytest.approx(fast.speed_m_s / usual.speed_m_s)
    # drag per mass falls with the size: less of the speed is lost
    lost = [1 - one.speed_m_s / s.drop_speed_m_s for one, s in ((before, usual), (after, fast))]
    assert lost[1] < lost[0]
