"""What speeding up, encoder steps and a jittering trigger do, against plain stepping in time."""

from pathlib import Path

import numpy as np
import pytest
from msgspec import structs

from rasterc.head.line import line_effect, step_error_mm, stretch
from rasterc.head.plan import plan_strokes
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


def plan(step=None, pitch=0.33, speed=0.5, phase=0.0, strokes=60):
    line = structs.replace(PROFILE.line, encoder_step_mm=step, stroke_pitch_mm=pitch)
    profile = structs.replace(PROFILE, line=line)
    columns = [1] * strokes
    return plan_strokes(profile, profile.rasters[0], columns, speed, encoder_phase=phase)


def test_strokes_start_at_the_next_step_of_the_encoder():
    slot_mm = 0.5 * 1000 / PROFILE.head.drop_frequency_hz
    late = plan(0.05).starts * slot_mm - np.arange(60) * 0.33
    assert -slot_mm < late.min()
    assert 0.03 < late.max() <= 0.05 + slot_mm
    # a whole number of steps to a stroke: nothing waits, wherever the code begins
    assert (plan(0.11).starts == plan().starts).all()
    assert np.abs(plan(0.11, phase=0.5).starts - plan().starts).max() <= 1
    assert (plan(0.05, phase=0.5).starts != plan(0.05).starts).any()


def test_strokes_keep_their_distance_at_coarse_steps():
    fast = plan(0.25, pitch=0.35, speed=1.4)
    gaps = np.diff(fast.starts)
    assert gaps.min() == fast.throw.slots
    assert len(set(gaps.tolist())) > 1
