"""Rasters and firing orders weighed against each other; nothing is flown."""

from math import hypot, sqrt

import pytest
from msgspec import structs

from rasterc.reading.model import Bracket
from rasterc.sweep.rivals import (
    READS_WELL,
    SPEED_STEP,
    Rival,
    fastest_m_s,
    follow_part,
    height_part,
    pitched,
    ranked,
    reached,
    reading_spread,
)


@pytest.fixture
def rival(job, good, band_of_figures):
    """A raster that holds at 0.85 m/s, follows 1.59 m/s and is misread once in a hundred."""

    def make(**changes):
        told = {
            "job": job,
            "case": job.usual(),
            "band": band_of_figures(good),
            "order": "low row first",
            "own": True,
            "lines": 1,
            "font_rows": 5,
            "follows_m_s": fastest_m_s(job.profile, job.raster),
            "reached_m_s": 1.5,
            "drops": 10,
            "characters": 1,
            "ink_ug": 2.0,
            "misread": Bracket(0.005, 0.01),
        }
        return Rival(**told | changes)

    return make


def test_rows_of_all_rasters_stand_equally_high(job):
    five, nine = (pitched(job.profile, job.profile.raster(r), height_part(r, 5)) for r in (5, 9))
    assert five.head.row_pitch_mm * 4 == pytest.approx(nine.head.row_pitch_mm * 8)
    assert nine.line.stroke_pitch_mm / nine.head.row_pitch_mm == pytest.approx(
        five.line.stroke_pitch_mm / five.head.row_pitch_mm
    )
    assert five.head.row_pitch_mm == job.profile.head.row_pitch_mm
    # 92000 / 27 and / 15 slots
    assert fastest_m_s(nine, nine.raster(9)) == pytest.approx(92 / 27 * 0.13)
    assert fastest_m_s(five, five.raster(5)) == pytest.approx(92 / 15 * 0.26)


def test_at_one_speed_characters_grow_until_their_raster_follows(job):
    nine = job.profile.raster(9)
    there = pitched(job.profile, nine, follow_part(job.profile, nine, 2.0))
    assert fastest_m_s(there, nine) == pytest.approx(2.0)
    assert fastest_m_s(there, nine) >= 2.0
    assert follow_part(job.profile, nine, 0.1) == 1


@pytest.mark.parametrize("last", [0.9, 1.2, 1.5, 9.0])
def test_the_speed_a_code_reaches_is_one_that_was_flown(rival, good, band_of_figures, last):
    flown = {}

    def fly(job, cases):
        merged = structs.replace(good, merged=1)
        bands = {c: band_of_figures(good if c.speed_m_s <= last else merged) for c in cases}
        flown.update(bands)
        return bands

    found = reached(rival(), fly)
    assert found <= min(last, 92 / 15 * 0.26)
    assert found in {0.85, *(case.speed_m_s for case in flown)}
    assert found * (1 + SPEED_STEP) > min(last, 1.58) - 0.01


def test_what_does_not_hold_reaches_no_speed(rival, good, band_of_figures):
    bad = band_of_figures(good, good, structs.replace(good, merged=1))
    assert reached(rival(band=bad), lambda job, cases: {}) is None


def test_what_holds_reaches_and_reads_comes_first(rival, good, band_of_figures):
    bad = band_of_figures(good, good, structs.replace(good, merged=1))
    clear = rival(misread=Bracket(0, READS_WELL / 10), ink_ug=3.0)
    cheap = rival(misread=Bracket(0, READS_WELL / 2), ink_ug=2.5)
    poor = rival(misread=Bracket(0, 0.2), ink_ug=1.0)
    unsaid = rival(misread=None, ink_ug=0.5)
    slow = rival(reached_m_s=0.4)
    slower = rival(reached_m_s=0.2)
    broken = rival(reached_m_s=None, band=bad)
    order = [cheap, clear, poor, unsaid, slow, slower, broken]
    assert ranked(0.85, reversed(order)) == order


def test_what_flight_scatters_is_added_to_what_drops_scatter_anyway(job, good, band_of_figures):
    # both squared; 0.15 pitches by themselves, 0.25 mm rows of a profile with 0.26
    scattered = structs.replace(good, rms_mm=0.05)
    found = reading_spread(job, band_of_figures(scattered))
    assert found == pytest.approx(hypot(0.15, 0.05 / sqrt(2) / 0.26), abs=0.01)
    assert reading_spread(job, band_of_figures(structs.replace(good, rms_mm=0.2))) is None
    assert reading_spread(job, band_of_figures(structs.replace(good, rms_mm=None))) is None
