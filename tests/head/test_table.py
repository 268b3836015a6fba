"""Whole messages: plan, charge table, landings and faults."""

import re
from dataclasses import replace

import msgspec
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rasterc.diagnostics import InputError, Severity
from rasterc.head.charging import charges_from_volts, dac_volts
from rasterc.head.limits import flight_faults
from rasterc.head.plan import Throw, firing_order, plan_strokes, throw_of
from rasterc.head.table import fly_strokes, solve_strokes
from rasterc.head.timing import max_speed_m_s, slant_mm, stroke_rate_limit_hz
from rasterc.profile.model import Firing, LineProfile, RasterTiming

# "E7" on five rows, bit 0 the lowest
MESSAGE = [0b11111, 0b10101, 0b10101, 0, 0b10000, 0b10011, 0b11100]


@pytest.fixture(scope="module")
def table(profiles, heads):
    plan = plan_strokes(profiles["fine"], profiles["fine"].raster(5), MESSAGE, 0.85)
    return solve_strokes(heads["fine"], plan)


def test_drops_land_on_their_rows(table):
    # the converter's steps: a micrometre or two
    landings = table.landings
    assert len(landings) == sum(c.bit_count() for c in MESSAGE)
    assert landings.worst_y_mm < 0.005
    assert table.residual_m.max() < 2e-6
    assert landings.separation.min() > 1


def test_drops_lie_along_the_travel_on_the_slanted_grid(profiles, table):
    # kinematics: stroke pitch, slant and half a slot of rounding; what is left is the longer
    # flight of higher rows, always late
    slot_mm = 0.85 * 1000 / 92_000
    assert table.landings.spread_x_mm < 0.06
    assert table.landings.x_error_mm.min() > -slot_mm
    first = table.landings.stroke == 0
    x, row = table.landings.x_mm[first], table.landings.row[first]
    lean = x[row == 4][0] - x[row == 0][0]
    raster = profiles["fine"].raster(5)
    assert lean == pytest.approx(slant_mm(raster, 92_000, 0.85), abs=0.05)


def test_the_electrode_gives_the_charges_of_the_table(heads, table):
    head = heads["fine"]
    volts = dac_volts(table.dac_codes, head.min_v, head.max_v, head.dac_bits)
    assert np.array_equal(volts, table.volts)
    charges = charges_from_volts(volts, head.charge_per_volt_c, head.induction)
    printed = np.zeros(table.plan.slots, dtype=bool)
    printed[table.landings.slot] = True
    assert np.array_equal(charges[printed], table.charges_c[printed])
    # unprinted drops: no more charge than half a step of the converter, and its echo
    half_step_c = head.charge_per_volt_c * (head.max_v - head.min_v) / 4095 / 2
    assert np.abs(charges[~printed]).max() < half_step_c * (1 + sum(head.induction)) ** 2
    assert np.all(table.wanted_v[~printed] >= 0)


def test_throws_and_wakes_can_be_compared(heads, table):
    height = {
        (throw, wake): fly_strokes(
            heads["fine"], table.plan, table.charges_c, throw_mm=throw, wake=wake
        ).height_mm
        for throw in (8, 10, 14)
        for wake in (1.0, 1.1)
    }
    assert height[8, 1.0] < height[10, 1.0] < height[14, 1.0]
    assert height[10, 1.0] == pytest.approx(4 * 0.26, abs=0.01)
    assert height[10, 1.1] != height[10, 1.0]


def test_blank_and_empty_messages(profiles, heads):
    raster = profiles["fine"].raster(5)
    for columns in ([], [0], [0, 0, 0]):
        table = solve_strokes(heads["fine"], plan_strokes(profiles["fine"], raster, columns, 1.0))
        assert len(table.landings) == 0
        assert np.all(table.charges_c == 0)
        assert flight_faults(heads["fine"], table) == []
        assert table.landings.worst_y_mm == table.landings.spread_x_mm == 0


def test_all_faults_name_their_drops(profiles, heads):
    weak = replace(heads["fine"], max_v=60.0, clearance_m=0.5e-3, rayleigh_charge_c=3e-13)
    plan = plan_strokes(profiles["fine"], profiles["fine"].raster(5), [0b11111], 1.0)
    faults = flight_faults(weak, solve_strokes(weak, plan))
    codes = {fault.code for fault in faults}
    assert {"voltage-limit", "charge-limit"} <= codes
    top = next(f for f in faults if f.code == "voltage-limit" and f.row == 4)
    assert (top.stroke, top.limit, top.severity) == (0, 60.0, Severity.ERROR)
    assert "row 4 of stroke 1" in top.message
    assert all(fault.help for fault in faults)
    severities = [fault.severity for fault in faults]
    assert severities == sorted(severities, key=lambda s: s is not Severity.ERROR)


def test_plate_strike_is_found(profiles, heads):
    plan = plan_strokes(profiles["fine"], profiles["fine"].raster(5), [0b10001, 0b00001], 1.0)
    table = solve_strokes(heads["fine"], plan)
    low, high = (table.landings.plate_mm[table.landings.row == row].max() for row in (0, 4))
    narrow = replace(heads["fine"], clearance_m=(low + high) / 2000)
    [fault] = flight_faults(narrow, table)
    assert (fault.code, fault.stroke, fault.row, fault.measured) == ("plate-strike", 0, 4, high)


NO_GUARDS = RasterTiming(drops=7, stroke_gap_drops=2)


def test_merging_drops_are_named_as_a_pair(profiles, heads):
    # low row first without guard drops: each drop flies in the wake of the one before and gains
    # on it
    plan = plan_strokes(profiles["middle"], NO_GUARDS, [0b1111111] * 3, 1.0, order=range(7))
    faults = flight_faults(heads["middle"], solve_strokes(heads["middle"], plan, wake=0.75))
    merged = [f for f in faults if f.code == "merge" and f.severity is Severity.ERROR]
    assert merged
    first, second = re.findall(r"row (\d) of stroke", merged[0].message)
    assert int(second) == int(first) + 1
    assert merged[0].measured < 1
    pairs = [frozenset(re.findall(r"row \d of stroke \d", f.message)) for f in merged]
    assert len(pairs) == len(set(pairs))


@pytest.mark.parametrize(
    "constant",
    [
        {"field_v_m": 1.0},
        {"field_v_m": 1e8},
        {"drop_mass_kg": 1e-14},
        {"charge_per_volt_c": 1e-22},
        {"jet_speed_m_s": 5.0},
        {"lowest_row_m": 0.5},
    ],
)
def test_heads_beyond_reason_get_an_answer_too(profiles, heads, constant):
    absurd = replace(heads["fine"], **constant)
    plan = plan_strokes(profiles["fine"], profiles["fine"].raster(5), [0b11111, 1], 1.0)
    faults = flight_faults(absurd, solve_strokes(absurd, plan))
    assert faults
    assert all(np.isfinite(fault.limit) for fault in faults)


def test_a_coarse_converter_puts_drops_off_their_rows(profiles, heads):
    coarse = replace(heads["fine"], dac_bits=5)
    plan = plan_strokes(profiles["fine"], profiles["fine"].raster(5), [0b11111], 1.0)
    faults = flight_faults(coarse, solve_strokes(coarse, plan))
    assert {fault.code for fault in faults} == {"off-row"}
    # half a step of 300 V / 31 through the slope of landing by voltage, 4 rows for ~40 V
    assert 0.1 < max(fault.measured for fault in faults) < 0.5


@pytest.mark.parametrize(
    ("options", "codes"),
    [
        ({"wake": -0.1}, ["bad-wake"]),
        ({"wake": float("nan"), "throw_mm": 0}, ["bad-wake", "bad-throw"]),
        ({"throw_mm": 1e9}, ["bad-throw"]),
    ],
)
def test_options_out_of_range_are_said(heads, table, options, codes):
    with pytest.raises(InputError) as caught:
        fly_strokes(heads["fine"], table.plan, table.charges_c, **options)
    assert [d.code for d in caught.value.diagnostics] == codes


def test_what_did_not_converge_is_said(profiles, heads):
    hopeless = replace(heads["fine"], air_viscosity_pa_s=1e-3)
    plan = plan_strokes(profiles["fine"], profiles["fine"].raster(5), [0b11111], 1.0)
    faults = flight_faults(hopeless, solve_strokes(hopeless, plan))
    assert "not-converged" in {fault.code for fault in faults}


@given(st.floats(0.05, 4), st.integers(1, 40))
def test_strokes_start_at_the_nearest_slot(speed_m_s, count):
    plan = plan_strokes(PROFILE, RASTER, [1] * count, speed_m_s)
    ideal = np.arange(count) * plan.stroke_pitch_mm / 1000 / speed_m_s * 100_000
    assert np.abs(plan.starts - ideal).max() <= 0.5 + 1e-6
    assert np.all(np.diff(plan.starts) >= Throw(firing_order(RASTER), 0, 2).slots)
    fastest = max_speed_m_s(stroke_rate_limit_hz(RASTER, 100_000), 0.26)
    assert (plan.stroke_pitch_mm > 0.26 * (1 + 1e-9)) == (speed_m_s > fastest * (1 + 1e-9))


RASTER = RasterTiming(drops=7, stroke_gap_drops=2)
PROFILE = msgspec.convert(
    {
        "name": "t",
        "head": {
            "drop_frequency_hz": 100_000,
            "throw_mm": 10,
            "row_pitch_mm": 0.25,
            "drop_diameter_um": 78.3,
        },
        "raster": [{"drops": 7, "stroke_gap_drops": 2}],
        "line": {"speeds_m_s": [1], "stroke_pitch_mm": 0.26},
        "product": {"dot_diameter_mm": 0.28},
    },
    LineProfile,
)


def test_firing_orders():
    assert firing_order(RasterTiming(drops=5)) == (0, 1, 2, 3, 4)
    high = throw_of(RasterTiming(drops=5, guard_drops=1, firing=Firing.HIGH_FIRST))
    assert high.row_slots == (8, 6, 4, 2, 0)
    assert high.slots == RasterTiming(drops=5, guard_drops=1).slots


@pytest.mark.parametrize(
    ("columns", "speed_m_s", "order", "code"),
    [
        ([1, 128], 1.0, None, "bad-strokes"),
        ([-1], 1.0, None, "bad-strokes"),
        ([[1]], 1.0, None, "bad-strokes"),
        ([1] * 20_001, 1.0, None, "too-long"),
        ([1] * 20_000, 0.1, None, "too-long"),
        ([1], 0.0, None, "bad-speed"),
        ([1], float("nan"), None, "bad-speed"),
        ([1], 1.0, (0, 1, 2), "firing-order"),
        ([1], 1.0, (0, 1, 2, 3, 4, 5, 5), "firing-order"),
    ],
)
def test_what_cannot_be_planned_is_said(columns, speed_m_s, order, code):
    with pytest.raises(InputError) as caught:
        plan_strokes(PROFILE, RASTER, columns, speed_m_s, order)
    assert [d.code for d in caught.value.diagnostics] == [code]
    assert caught.value.diagnostics[0].help
