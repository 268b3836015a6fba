"""Timing of strokes: kinematics worked by hand, and against a drop-by-drop account."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rasterc.head.timing import (
    height_mm,
    length_mm,
    max_speed_m_s,
    rasters_that_keep_up,
    slant_mm,
    stroke_rate_limit_hz,
    timing,
)
from rasterc.profile.load import parse_profile
from rasterc.profile.model import Firing, RasterTiming

PROFILE = parse_profile(
    """
name = "test"
[head]
drop_frequency_hz = 100_000
throw_mm = 15
row_pitch_mm = 0.35
drop_diameter_um = 100
[[raster]]
drops = 16
guard_drops = 1
stroke_gap_drops = 1
[[raster]]
drops = 9
stroke_gap_drops = 1
[[raster]]
drops = 5
stroke_gap_drops = 0
[line]
speeds_m_s = [1]
stroke_pitch_mm = 0.4
product_pitch_mm = 100
[product]
dot_diameter_mm = 0.4
"""
)

rasters = st.builds(
    RasterTiming,
    drops=st.integers(5, 16),
    guard_drops=st.integers(0, 4),
    stroke_gap_drops=st.integers(0, 64),
)


def slots_counted(raster: RasterTiming) -> list[int | None]:
    """The drops of one stroke in the order they are formed: its rows, None for unprinted ones."""
    slots: list[int | None] = []
    for row in range(raster.drops):
        slots.append(row)
        if row < raster.drops - 1:
            slots += [None] * raster.guard_drops
    return slots + [None] * raster.stroke_gap_drops


@given(rasters, st.floats(1e4, 3e5))
def test_the_rate_limit_is_one_stroke_per_slots_counted_one_by_one(raster, frequency_hz):
    assert stroke_rate_limit_hz(raster, frequency_hz) == pytest.approx(
        frequency_hz / len(slots_counted(raster))
    )


@given(rasters, st.floats(1e4, 3e5), st.floats(0.01, 18))
def test_slant_is_the_travel_between_the_first_and_last_drop(raster, frequency_hz, speed_m_s):
    slots = slots_counted(raster)
    seconds = (slots.index(raster.drops - 1) - slots.index(0)) / frequency_hz
    assert slant_mm(raster, frequency_hz, speed_m_s) == pytest.approx(seconds * speed_m_s * 1000)


def test_high_first_leans_the_other_way():
    low = RasterTiming(drops=9)
    high = RasterTiming(drops=9, firing=Firing.HIGH_FIRST)
    assert slant_mm(high, 1e5, 2) == -slant_mm(low, 1e5, 2) == pytest.approx(-0.16)


def test_a_slow_line_is_followed_at_the_profile_pitch():
    # 16 drops with a guard drop each and one after: 32 slots, 3125 strokes/s, 1.25 m/s at 0.4 mm
    t = timing(PROFILE, PROFILE.raster(16), 50, 1.25)
    assert t.keeps_up
    assert t.rate_limit_hz == 3125
    assert t.stroke_rate_hz == pytest.approx(3125)
    assert t.stroke_pitch_mm == pytest.approx(0.4)
    assert t.length_mm == pytest.approx(49 * 0.4 + 0.4)
    assert t.message_ms == pytest.approx(50 / 3125 * 1000)
    assert t.product_ms == pytest.approx(80)


def test_a_fast_line_stretches_the_code():
    t = timing(PROFILE, PROFILE.raster(16), 50, 2.5)
    assert not t.keeps_up
    assert t.stroke_pitch_mm == pytest.approx(0.8)
    assert t.message_ms == pytest.approx(50 / 3125 * 1000)  # as fast as the head can


@given(rasters, st.floats(1e4, 3e5), st.floats(0.1, 1))
def test_the_fastest_speed_is_where_rate_meets_limit(raster, frequency_hz, pitch_mm):
    limit = stroke_rate_limit_hz(raster, frequency_hz)
    speed = max_speed_m_s(limit, pitch_mm)
    assert speed * 1000 / pitch_mm == pytest.approx(limit)


def test_rasters_that_keep_up_come_highest_first():
    assert [r.drops for r in rasters_that_keep_up(PROFILE, 1.0)] == [16, 9, 5]
    assert [r.drops for r in rasters_that_keep_up(PROFILE, 3.0)] == [9, 5]
    assert [r.drops for r in rasters_that_keep_up(PROFILE, 8.0)] == [5]
    assert rasters_that_keep_up(PROFILE, 9.0) == []


def test_sizes_count_the_drop():
    assert length_mm(0, 0.4, 0.4) == height_mm(0, 0.4, 0.4) == 0
    assert length_mm(1, 0.3, 0.4) == height_mm(1, 0.3, 0.4) == 0.4
    assert height_mm(7, 0.3, 0.4) == pytest.approx(2.2)
