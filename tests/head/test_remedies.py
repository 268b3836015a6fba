"""What is advised fits what is wrong."""

from dataclasses import replace
from pathlib import Path

import pytest
from msgspec import structs

from rasterc.head.limits import flight_faults
from rasterc.head.model import head_model
from rasterc.head.plan import plan_strokes
from rasterc.head.table import solve_strokes
from rasterc.profile.load import load_profile
from rasterc.profile.model import RasterTiming

HEADS = Path(__file__).parents[2] / "shared" / "heads"
FIVE = (0b1110010, 0b1010001, 0b1010001, 0b1010001, 0b1001110)  # a 5, as drops


@pytest.fixture(scope="module")
def middle():
    return load_profile(HEADS / "head-middle.toml")


def remedies(profile, raster, order=None, wake=1.1, **changes):
    head = replace(head_model(profile), **changes)
    table = solve_strokes(head, plan_strokes(profile, raster, FIVE, 0.25, order), wake=wake)
    return {fault.code: fault.help for fault in flight_faults(head, table)}


def test_drops_that_meet_get_room_and_no_finer_converter(middle):
    # the low row is fired first already
    assert remedies(middle, guarded(middle, 0)) == {"merge": "throw 1 guard drop"}
    assert remedies(middle, guarded(middle, 2), throw_m=0.021) == {"merge": "throw 3 guard drops"}


def test_rows_fired_from_above_may_be_turned(middle):
    high = RasterTiming(drops=7, guard_drops=1, stroke_gap_drops=2, firing="high-first")
    assert remedies(middle, high)["merge"] == "throw 2 guard drops, or fire the low row first"


def test_a_coarse_converter_is_told(middle):
    found = remedies(middle, guarded(middle, 3), dac_bits=6)
    assert found == {"off-row": "use a finer converter (dac_bits) or a smaller voltage range"}


def test_an_amplifier_too_low_is_told(middle):
    found = remedies(middle, guarded(middle, 3), max_v=120.0)
    assert found["off-row"].startswith("give the amplifier the range")


def guarded(profile, guard_drops):
    return structs.replace(profile.raster(7), guard_drops=guard_drops)
