from pathlib import Path

import pytest

from rasterc.profile.load import load_profile
from rasterc.sweep.model import Band, Figures, Job

HEADS = Path(__file__).parents[2] / "shared" / "heads"


@pytest.fixture(scope="session")
def job():
    """Three strokes on five rows: quick to fly."""
    profile = load_profile(HEADS / "head-fine.toml")
    return Job(profile, profile.raster(5), (0b11111, 0b10101, 0b10001), 5, 0.85)


@pytest.fixture
def good():
    """Figures nothing is wrong with."""
    return Figures(
        worst_mm=0.01,
        rms_mm=0.005,
        dx_mm=0.008,
        dy_mm=0.006,
        worst_pitches=0.05,
        lowest_mm=1.2,
        row_pitch_mm=0.25,
        height_mm=1.3,
        slant_deg=2.0,
        merged=0,
        near=2.0,
        lost=0,
        stroke_pitch_mm=0.26,
        charge=0.3,
        least_v=60.0,
        most_v=150.0,
        residual_mm=0.0,
    )


@pytest.fixture
def band_of_figures():
    """A band of the usual wakes with these figures, the last ones said for all that are left."""

    def make(*figures):
        return Band((0.75, 1.0, 1.1), (figures + (figures[-1],) * 3)[:3])

    return make
