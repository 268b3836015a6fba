"""`rasterc jet` through the installed program."""

import csv
import importlib.util
import io
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from PIL import Image

ROOT = Path(__file__).parents[2]
TRIAL = ROOT / "tests" / "head" / "jet-trial.toml"
PROGRAM = Path(sys.executable).with_name("rasterc")
PLOTS = importlib.util.find_spec("matplotlib") is not None
ENVIRONMENT = {**os.environ, "COLUMNS": "80", "PYTHONUTF8": "1"}


def jet(*arguments, code=0):
    """Run the program; returns its output, or its complaints when it has no output."""
    done = subprocess.run(
        [PROGRAM, "jet", *map(str, arguments)],
        capture_output=True,
        encoding="utf-8",
        timeout=600,
        env=ENVIRONMENT,
    )
    assert done.returncode == code, done.stdout + done.stderr
    assert "Traceback" not in done.stderr
    return done.stdout if done.stdout else done.stderr


def test_a_jet_in_words():
    text = jet(TRIAL)
    assert max(map(len, text.splitlines())) <= 80
    for said in ("Re 283", "We 792", "Oh 0.099", "undriven at 25 mm", "kilovolts", "charge phase"):
        assert said in " ".join(text.split())
    assert "not told by any profile" in text
    assert "not told by this profile" not in text
    assert "error" not in text


@pytest.mark.parametrize("head", sorted((ROOT / "shared" / "heads").glob("*.toml")), ids=str)
def test_the_jets_of_the_demo_plant_break_up(head):
    document = json.loads(subprocess.run(
        [PROGRAM, "jet", head, "--json"], capture_output=True, encoding="utf-8", env=ENVIRONMENT,
    ).stdout)  # fmt: skip
    assert all(fault["severity"] != "error" for fault in document["findings"])


def test_settings_for_machines(tmp_path):
    file = tmp_path / "jet.json"
    document = json.loads(
        jet(TRIAL, "--temperature", 30, "--pressure", 400, "--json", "--out", file)
    )
    assert document["schema"] == "rasterc/jet/1"
    assert document["jet"]["pressure_kpa"] == pytest.approx(400)
    assert document["jet"]["viscosity_mpa_s"] < 3.5
    assert json.loads(file.read_text())["jet"] == document["jet"]
    assert {row["setting"] for row in document["rooms"]} >= {"pressure", "viscosity"}
    # what is told of a viscosity set by hand is told of the same one by temperature
    warm = document["jet"]["viscosity_mpa_s"]
    again = json.loads(jet(TRIAL, "--temperature", 30, "--viscosity", warm, "--json"))
    assert again["jet"]["viscosity_mpa_s"] == pytest.approx(warm)


def test_a_map_as_table_and_picture(tmp_path):
    files = [tmp_path / "map.csv", *([tmp_path / "map.png"] if PLOTS else [])]
    asked = ("--map", "--modulations", "0.01,0.05", "--pressures", "350,400")
    text = jet(TRIAL, *asked, *(part for f in files for part in ("--out", f)))
    assert max(len(line) for line in text.splitlines() if "wrote" not in line) <= 80
    rows = list(csv.DictReader(io.StringIO(files[0].read_text())))
    assert len(rows) == 2 * 2 * 5
    assert {row["modulation"] for row in rows} == {"0.01", "0.05"}
    assert any(not row["breaks"] for row in rows)
    if PLOTS:
        with Image.open(files[1]) as picture:
            assert min(picture.size) > 400


def test_a_window_that_is_none_is_a_finding():
    text = jet(TRIAL, "--map", "--modulations", "0.5", code=1)
    assert "no point of the map keeps every bound" in text
    assert jet(TRIAL, "--modulation", "0.5", code=1).count("breakup-place") == 1


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
def test_what_makes_no_sense_is_said(arguments, code):
    assert f"[{code}]" in jet(TRIAL, *arguments, code=2)


def test_a_profile_without_flight_says_what_to_add():
    profile = next((ROOT / "shared" / "profiles").glob("*.toml"))
    assert "[flight.jet]" in jet(profile, code=2)


READINGS = """what,value,sigma,volts
single,2.6,0.02,100
single,3.9,0.03,150
speed,19.9,0.05,
breakup,9.3,0.1,
breakup,9.2,0.1,
"""


def test_a_fitted_profile_is_written_and_read_again(tmp_path):
    measured, fitted = tmp_path / "measured.csv", tmp_path / "fitted.toml"
    measured.write_text(READINGS)
    text = jet(TRIAL, "--fit", measured, "--out", fitted)
    assert "the model can explain the readings" in text
    assert "the profile's hold: field, wake" in text
    assert max(map(len, (line for line in text.splitlines() if "wrote" not in line))) <= 80
    again = json.loads(jet(fitted, "--json"))
    assert again["jet"]["breakup_mm"] == pytest.approx(9.25, abs=0.02)
    assert again["jet"]["drop_speed_m_s"] == pytest.approx(19.9, abs=0.02)
    assert "# fitted" in fitted.read_text()


def test_readings_may_stand_in_the_profile(tmp_path):
    profile = tmp_path / "bench.toml"
    rows = "\n".join(
        f'[[flight.measured]]\nwhat = "single"\nvolts = {v}\nvalue = {y}\nsigma = 0.02'
        for v, y in ((100, 2.6), (150, 5.9))
    )
    profile.write_text(f"{TRIAL.read_text()}\n{rows}\n")
    document = json.loads(jet(profile, "--fit", profile, "--json", code=1))
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
def test_fits_that_cannot_be(arguments, code):
    assert f"[{code}]" in jet(TRIAL, *arguments, code=2)
