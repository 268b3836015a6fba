"""Heads fitted to readings of a bench."""

import tomllib
from pathlib import Path

import numpy as np
import pytest
from msgspec import structs

from rasterc.diagnostics import InputError
from rasterc.profile.flight import Measurement, Reading
from rasterc.profile.load import load_profile
from rasterc.profile.rewrite import with_values
from rasterc.sweep.fit import COUPLING, FIELD, MODULATION, SPEED, WAKE, fit_head
from rasterc.sweep.fit import _Bench as Bench
from rasterc.sweep.measured import load_measured, parse_measured

TRIAL = Path(__file__).parents[1] / "head" / "jet-trial.toml"
TRUTH = {COUPLING: 1.06, FIELD: 0.95, WAKE: 0.9, SPEED: 1.01}
SIGMA = 0.02
PAIRS = ((150, 150, 1), (220, 220, 1), (220, 220, 2), (220, 220, 3), (220, 100, 1), (100, 220, 1))


@pytest.fixture(scope="module")
def profile():
    return load_profile(TRIAL)


def reading(what, value=1.0, sigma=SIGMA, **volts):
    return Measurement(Reading(what), value, sigma, **volts)


def made(profile, truth, seed, singles=(60, 100, 140, 180, 220), pairs=PAIRS, speeds=2):
    """Readings of a head that differs from its profile, with noise."""
    asked = [reading("single", volts=v) for v in singles]
    for first, second, slots in pairs:
        for what in ("pair-first", "pair-second"):
            asked.append(reading(what, volts=first, second_volts=second, slots=slots))
    asked += [reading("speed", sigma=0.05)] * speeds
    rng = np.random.default_rng(seed)
    noisy = Bench(profile, asked).predicted(truth)
    noisy += rng.standard_normal(len(noisy)) * [one.sigma for one in asked]
    return [structs.replace(a, value=float(v)) for a, v in zip(asked, noisy, strict=True)]


def test_a_fit_finds_what_the_readings_were_made_with(profile):
    lengths = [reading("breakup", 9.0 + off, 0.1) for off in (-0.1, 0.0, 0.1)]
    found = fit_head(profile, made(profile, TRUTH, 1) + lengths)
    values = {one.name: one for one in found.values}
    assert set(values) == {*TRUTH, MODULATION}
    assert not found.kept
    for name, true in TRUTH.items():
        scale = {FIELD: 1.3, SPEED: 20.0}.get(name, 1.0)
        assert values[name].low < true * scale < values[name].high, name
        # an interval that says something
        assert values[name].high - values[name].low < 0.3 * scale
    assert found.explains
    assert found.freedom == 5 + 12 + 2 + 3 - 5
    # Weber's growth over 9 mm at the fitted speed, by hand
    by_hand = np.exp(-9947 * 9.0e-3 / 20.2)
    assert values[MODULATION].low < by_hand < values[MODULATION].high


def test_drops_alone_tell_the_coupling_only(profile):
    found = fit_head(profile, made(profile, {COUPLING: 1.1}, 2, pairs=(), speeds=0))
    assert [one.name for one in found.values] == [COUPLING]
    assert set(found.kept) == {FIELD, WAKE, SPEED}
    assert found.values[0].low < 1.1 < found.values[0].high
    assert found.explains


def test_readings_the_model_cannot_make_are_told(profile):
    readings = made(profile, {}, 3, singles=(100, 200), pairs=(), speeds=0)
    bent = [*readings, structs.replace(readings[0], value=readings[0].value * 1.3)]
    found = fit_head(profile, bent)
    assert found.explains is False
    assert max(abs(one.deviations) for one in found.residuals) > 5


def test_too_few_readings_say_nothing(profile):
    found = fit_head(profile, made(profile, {}, 4, singles=(150,), pairs=(), speeds=0))
    assert found.explains is None
    assert found.freedom == 0


def test_speed_or_breakup_alone_can_be_fitted(profile):
    found = fit_head(profile, [reading("speed", 20.5, 0.05)])
    [speed] = found.values
    assert speed.name == SPEED
    assert speed.value == pytest.approx(20.55, abs=0.01)  # drops fly 0.05 m/s slower than the jet
    [modulation] = fit_head(profile, [reading("breakup", 9.2, 0.1)]).values
    assert modulation.name == MODULATION


GOOD = """what,value,sigma,volts,second_volts,slots
single,1.52,0.02,100,,
pair-first,3.1,0.02,150,150,2

speed,19.9,0.05,,,
"""


def test_readings_of_a_table():
    found = parse_measured(GOOD)
    assert found == [
        Measurement(Reading.SINGLE, 1.52, 0.02, volts=100.0),
        Measurement(Reading.PAIR_FIRST, 3.1, 0.02, volts=150.0, second_volts=150.0, slots=2),
        Measurement(Reading.SPEED, 19.9, 0.05),
    ]
    assert parse_measured("\ufeff" + GOOD.replace("\n", "\r\n")) == found


@pytest.mark.parametrize(
    ("text", "code", "line"),
    [
        (GOOD.replace("sigma", "sigmas"), "unknown-column", 1),
        (GOOD.replace("sigma", "volts"), "twice", 1),
        ("", "missing-column", 1),
        (GOOD.replace("1.52", "high"), "wrong-value", 2),
        (GOOD.replace("1.52", "nan"), "wrong-value", 2),
        (GOOD.replace("1.52", "1e400"), "wrong-value", 2),
        (GOOD.replace("single", "sigle"), "wrong-value", 2),
        (GOOD.replace(",100,,", ",,,"), "missing-value", 2),
        (GOOD.replace("19.9,0.05,,,", "19.9,0.05,100,,"), "unused-value", 5),
        (GOOD.replace("19.9,0.05,,,", "19.9,0.05,,,,7"), "too-many-cells", 5),
        (GOOD.replace("19.9", '"19.9'), "not-csv", 5),
        (GOOD.replace("0.02,150", "0,150"), "wrong-value", 3),
    ],
)
def test_faults_of_a_table_are_named_at_their_line(text, code, line):
    with pytest.raises(InputError) as caught:
        parse_measured(text)
    found = {(d.code, d.span.line) for d in caught.value.diagnostics}
    assert (code, line) in found


def test_a_profile_is_rewritten_line_by_line():
    text = TRIAL.read_text()
    changed = with_values(
        text,
        {("flight", "plates", "field_mv_m"): 1.25, ("flight", "jet", "jet_um"): 54.0},
        "fitted",
    )
    values = tomllib.loads(changed)["flight"]
    assert values["plates"]["field_mv_m"] == 1.25
    assert values["jet"]["jet_um"] == 54.0
    kept = [line for line in text.splitlines() if "field_mv_m" not in line]
    assert [line for line in changed.splitlines() if "# fitted" not in line] == kept


def test_a_profile_that_lines_cannot_change_is_refused():
    with pytest.raises(InputError) as caught:
        with_values("flight = { jet = { a = 1 } }", {("flight", "jet", "a"): 2}, "fitted")
    assert "flight.jet.a = 2" in caught.value.diagnostics[0].help


def test_the_demo_bench_measured_what_its_readings_were_made_with():
    # shared/heads/measured-middle.csv was made with these values, noise of the stated deviations
    # and seed 20271127
    heads = Path(__file__).parents[2] / "shared" / "heads"
    found = fit_head(
        load_profile(heads / "head-middle.toml"), load_measured(heads / "measured-middle.csv")
    )
    values = {one.name: one for one in found.values}
    made_with = {COUPLING: 1.04, FIELD: 0.97 * 1.3, WAKE: 0.88, SPEED: 0.99 * 20, MODULATION: 0.012}
    assert set(values) == set(made_with)
    for name, true in made_with.items():
        assert values[name].low < true < values[name].high, name
    assert found.explains
