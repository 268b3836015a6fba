"""What speeding up, encoder steps and a jittering trigger do, against plain stepping in time."""

from pathlib import Path

import numpy as np
import pytest
from msgspec import structs

from rasterc.head.line import line_effect, step_error_mm, stretch
from rasterc.profile.load import load_profile

PROFILE = load_profile(Path(__file__).with_name("jet-trial.toml"))


def test_strokes_of_a_line_that_speeds_up():
    # thrown where x = k p, landing T later: x(t) = v t + a t^2 / 2 solved by hand
    speed, acceleration, flight, pitch = 0.5, 2.0, 2.7e-3, 0.33e-3
    thrown = np.arange(3) * pitch
    times = (-speed + np.sqrt(speed**2 + 2 * acceleration * thrown)) / acceleration + flight
    landed = speed * times + acceleration * times**2 / 2
    assert np.diff(landed) == pytest.approx(
        pitch * (1 + stretch(acceleration, flight, speed)), rel=1e-4
    )


@pytest.mark.parametrize(("pitch", "step"), [(0.33, 0.05), (0.33, 0.04), (0.3, 0.1), (0.35, 0.07)])
def test_strokes_wait_for_encoder_steps(pitch, step):
    places = np.arange(2000) * pitch
    late = np.ceil(np.round(places / step, 6)) * step - places
    assert late.max() <= step_error_mm(pitch, step) + 1e-6
    assert late.max() >= 0.7 * step_error_mm(pitch, step)


def test_a_line_is_told_as_far_as_its_profile_goes():
    effect = line_effect(PROFILE, 0.5, 2.7e-3)
    assert (effect.longer, effect.step_mm, effect.step_pitches, effect.start_mm) == (None,) * 4
    line = structs.replace(
        PROFILE.line, acceleration_m_s2=1.0, encoder_step_mm=0.05, trigger_jitter_us=100.0
    )
    effect = line_effect(structs.replace(PROFILE, line=line), 0.5, 2.7e-3)
    assert effect.longer == pytest.approx(0.0054)
    assert effect.step_pitches == pytest.approx(0.05 / 0.33)
    assert effect.start_mm == pytest.approx(0.15)
