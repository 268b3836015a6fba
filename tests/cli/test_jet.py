"""`rasterc jet` as a command."""

import csv
import importlib.util
import io
import json
from pathlib import Path

import pytest
from PIL import Image

ROOT = Path(__file__).parents[2]
TRIAL = ROOT / "tests" / "head" / "jet-trial.toml"
PLOTS = importlib.util.find_spec("matplotlib") is not None


def test_a_jet_in_words(program):
    text = program("jet", TRIAL).text
    assert max(map(len, text.splitlines())) <= 80
    for said in ("Re 283", "We 792", "Oh 0.099", "undriven at 25 mm", "kilovolts", "charge phase"):
        assert said in " ".join(text.split())
    assert "not told by any profile" in text
    assert "not told by this profile" not in text
    assert "error" not in text


@pytest.mark.parametrize("head", sorted((ROOT / "shared" / "heads").glob("*.toml")), ids=str)
def test_the_jets_of_the_demo_plant_break_up(program, head):
    document = json.loads(program("jet", head, "--json", code=None).out)
    assert all(fault["severity"] != "error" for fault in document["findings"])


def test_settings_for_machines(program, tmp_path):
    file = tmp_path / "jet.json"
    document = json.loads(
        program("jet", TRIAL, "--temperature", 30, "--pressure", 400, "--json", "--out", file).out
    )
    assert document["schema"] == "rasterc/jet/1"
    assert document["jet"]["pressure_kpa"] == pytest.approx(400)
    assert document["jet"]["viscosity_mpa_s"] < 3.5
    assert json.loads(file.read_text())["jet"] == document["jet"]
    assert {row["setting"] for row in document["rooms"]} >= {"pressure", "viscosity"}
    # what is told of a viscosity set by hand is told of the same one by temperature
    warm = document["jet"]["viscosity_mpa_s"]
    again = json.loads(
        program("jet", TRIAL, "--temperature", 30, "--viscosity", warm, "--json").out
    )
    assert again["jet"]["viscosity_mpa_s"] == pytest.approx(warm)


def test_a_map_as_table_and_picture(program, tmp_path):
    files = [tmp_path / "map.csv", *([tmp_path / "map.png"] if PLOTS else [])]
    asked = ("--map", "--modulations", "0.01,0.05", "--pressures", "350,400")
    text = program("jet", TRIAL, *asked, *(part for f in files for part in ("--out", f))).text
    assert max(len(line) for line in text.splitlines() if "wrote" not in line) <= 80
    rows = list(csv.DictReader(io.StringIO(files[0].read_text())))
    assert len(rows) == 2 * 2 * 5
    assert {row["modulation"] for row in rows} == {"0.01", "0.05"}
    assert any(not row["breaks"] for row in rows)
    if PLOTS:
        with Image.open(files[1]) as picture:
            assert min(picture.size) > 400


def test_a_window_that_is_none_is_a_finding(program):
    text = program("jet", TRIAL, "--map", "--modulations", "0.5", code=1).text
    assert "no point of the map keeps every bound" in text
    assert program("jet", TRIAL, "--modulation", "0.5", code=1).text.count("breakup-place") == 1


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (("--pressures", "300"), "unused-option"),
        (("--map", "--pressures", "a,b"), "bad-numbers"),
        (("--map", "--viscosities", "nan"), "out-of-range"),
        (("--map", "--modulations", "2"), "out-of-range"),
        (("--pressure", "inf"), "out-of-range"),
        (("--pressure", "1"), "bad-pressure"),
        (("--viscosity", "1e9"), "out-of-range"),
        (("--temperature", "200"), "bad-temperature"),
        (("--make-up", "2"), "bad-make-up"),
        (("--out", "jet.png"), "bad-option"),
        (("--out", "jet.gif"), "unknown-suffix"),
        (("--map", "--pressures", ",".join(str(n) for n in range(100, 300))), "too-many"),
    ],
)
def test_what_makes_no_sense_is_said(program, arguments, code):
    assert f"[{code}]" in program("jet", TRIAL, *arguments, code=2).text


def test_a_profile_without_flight_says_what_to_add(program):
    profile = next((ROOT / "shared" / "profiles").glob("*.toml"))
    assert "[flight.jet]" in program("jet", profile, code=2).text


READINGS = """what,value,sigma,volts
single,2.6,0.02,100
single,3.9,0.03,150
speed,19.9,0.05,
breakup,9.3,0.1,
breakup,9.2,0.1,
"""


def test_a_fitted_profile_is_written_and_read_again(program, tmp_path):
    measured, fitted = tmp_path / "measured.csv", tmp_path / "fitted.toml"
    measured.write_text(READINGS)
    text = program("jet", TRIAL, "--fit", measured, "--out", fitted).text
    assert "the model can explain the readings" in text
    assert "the profile's hold: field, wake" in text
    assert max(map(len, (line for line in text.splitlines() if "wrote" not in line))) <= 80
    again = json.loads(program("jet", fitted, "--json").out)
    assert again["jet"]["breakup_mm"] == pytest.approx(9.25, abs=0.02)
    assert again["jet"]["drop_speed_m_s"] == pytest.approx(19.9, abs=0.02)
    assert "# fitted" in fitted.read_text()


def test_readings_may_stand_in_the_profile(program, tmp_path):
    profile = tmp_path / "bench.toml"
    rows = "\n".join(
        f'[[flight.measured]]\nwhat = "single"\nvolts = {v}\nvalue = {y}\nsigma = 0.02'
        for v, y in ((100, 2.6), (150, 5.9))
    )
    profile.write_text(f"{TRIAL.read_text()}\n{rows}\n")
    document = json.loads(program("jet", profile, "--fit", profile, "--json", code=1).out)
    # 5.9 mm at 150 V do not go with 2.6 at 100
    assert document["fit"]["explains"] is False
    assert [f["code"] for f in document["findings"]] == ["not-explained"]
    assert len(document["fit"]["readings"]) == 2


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (("--fit", TRIAL), "nothing-measured"),
        (("--fit", "gone.csv"), "cannot-read"),
        (("--fit", "readings.txt"), "unknown-suffix"),
        (("--fit", "gone.csv", "--map"), "unused-option"),
        (("--out", "head.toml"), "bad-option"),
    ],
)
def test_fits_that_cannot_be(program, arguments, code):
    assert f"[{code}]" in program("jet", TRIAL, *arguments, code=2).text
