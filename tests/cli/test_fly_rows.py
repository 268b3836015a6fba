"""Rows of long studies come as they are flown; nothing is flown here."""

from pathlib import Path

import pytest
from msgspec import structs

from rasterc.api import load_text
from rasterc.cli.fly.flights import climb, speed_throw_map, subject_of
from rasterc.profile.load import load_profile
from rasterc.sweep.drift import drift_cases
from rasterc.sweep.grid import grid_of
from rasterc.sweep.model import Band, Figures

PROFILE = Path(__file__).parents[2] / "shared" / "heads" / "head-fine.toml"
FINE = Figures(
    worst_mm=0.01, rms_mm=0.005, dx_mm=0.008, dy_mm=0.006, worst_pitches=0.05, lowest_mm=1.2,
    row_pitch_mm=0.25, height_mm=1.3, slant_deg=2.0, merged=0, near=2.0, lost=0,
    stroke_pitch_mm=0.26, charge=0.3, least_v=60.0, most_v=150.0, residual_mm=0.0,
)  # fmt: skip


@pytest.fixture
def subject():
    text = 'message one { raster 5 font upright-5 block { line: "1" } }'
    return subject_of(load_text(text).resolve(), load_profile(PROFILE), None)


@pytest.fixture
def studied():
    """Runs a study on flights that merge where told; gives what happened, in order."""

    def run(study, *arguments, merged=lambda case: False):
        happened = []

        def fly(job, cases):
            happened.append(f"flew {len(cases)}")
            bad = structs.replace(FINE, merged=1)
            return {c: Band((1.0,), (bad if merged(c) else FINE,)) for c in cases}

        study(*arguments, fly, told=lambda *lines: happened.extend(lines))
        return happened

    return run


def test_speeds_of_a_climb_are_told_one_by_one(subject, studied):
    happened = studied(lambda s, fly, told: climb(s, 2.0, fly, 1, told), subject)
    flights = [k for k, what in enumerate(happened) if what == "flew 1"]
    assert len(flights) > 3
    assert all("m/s  holds throughout" in happened[k + 1] for k in flights)
    assert "holds up to 2 m/s" in happened[-1]


def test_a_climb_holds_up_to_its_first_gap(subject, studied):
    def gap(case):
        return 0.6 < case.speed_m_s < 1

    end = studied(lambda s, fly, told: climb(s, 2.0, fly, 3, told), subject, merged=gap)[-1]
    assert end.startswith("  holds up to 0.5 m/s")
    assert "again at 1.1" in end
    low = studied(
        lambda s, fly, told: climb(s, 2.0, fly, 3, told), subject, merged=lambda c: c.speed_m_s < 1
    )[-1]
    assert "does not hold at the slowest" in low


@pytest.mark.parametrize(("width", "batches"), [(1, ["flew 2"] * 6), (3, ["flew 4", "flew 2"] * 2)])
def test_throws_of_a_map_are_told_as_they_are_flown(subject, studied, width, batches):
    grid = grid_of(subject.job, [0.5, 1.0], [8, 12])
    happened = studied(lambda s, fly, told: speed_throw_map(s, grid, fly, width, told), subject)
    assert [what for what in happened if what.startswith("flew")] == batches
    first = happened.index(batches[0])
    assert happened[first + 1].split() == ["8", "0.05", "0.05"]
    assert sum("window: 0.5 to 1 m/s and 8 to 12 mm (6 points" in line for line in happened) == 2


def test_a_trigger_that_jitters_is_drawn_with_the_rest(subject):
    line = structs.replace(subject.profile.line, trigger_jitter_us=50.0)
    job = structs.replace(subject.job, profile=structs.replace(subject.profile, line=line))
    drawn = [case.trigger_us for case in drift_cases(job, 400, 1)]
    assert max(map(abs, drawn)) <= 150  # three standard deviations
    assert sum(drawn) / 400 == pytest.approx(0, abs=10)
    assert (sum(x * x for x in drawn) / 400) ** 0.5 == pytest.approx(50, rel=0.12)
    assert {case.trigger_us for case in drift_cases(subject.job, 3, 1)} == {None}
