"""`rasterc fly` as a command, on messages of one or two characters."""

import csv
import importlib.util
import io
import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from xml.etree import ElementTree

import pytest
from PIL import Image

PROFILE = Path(__file__).parents[2] / "shared" / "heads" / "head-fine.toml"
PROGRAM = Path(sys.executable).with_name("rasterc")
PLOTS = importlib.util.find_spec("matplotlib") is not None
MESSAGE = """
message mark {
  raster 5
  font upright-5
  clock packed in "Europe/Dublin"
  block { line: packed(d) }
}
"""
AT = ("--at", "2027-11-07 14:05")
ENVIRONMENT = {**os.environ, "COLUMNS": "80", "PYTHONUTF8": "1"}


@pytest.fixture(scope="module")
def mark(tmp_path_factory):
    path = tmp_path_factory.mktemp("fly") / "mark.rasterc"
    path.write_text(MESSAGE)
    return path


@pytest.fixture(scope="module")
def sure(tmp_path_factory):
    """The profile of a bench that has measured its wakes: one flight where there are three."""
    path = tmp_path_factory.mktemp("sure") / "sure.toml"
    path.write_text(PROFILE.read_text().replace("[flight]\n", "[flight]\nwake = [1, 1, 1]\n"))
    return path


@pytest.fixture
def fly(program):
    """Flies a message on a profile."""

    def run(mark, *arguments, code=0, profile=PROFILE):
        return program("fly", mark, *AT, "--profile", profile, *arguments, code=code)

    return run


def is_readable_text(text):
    said = [line for line in text.splitlines() if not line.startswith("  wrote ")]
    assert max(map(len, said)) <= 80
    assert "kilovolts" in text
    assert "solvents" in text
    assert "no claim of micrometres" in " ".join(text.split())


def test_one_flight_says_what_lands_and_what_to_beware_of(fly, program, mark, tmp_path):
    files = [tmp_path / f"out.{kind}" for kind in ("png", "svg", "csv", "json")]
    text = fly(mark, *(part for f in files for part in ("--out", f))).text
    is_readable_text(text)
    assert "0.5 m/s, throw 10 mm, raster 5" in text
    assert "holds throughout: readable by every limit" in text

    rows = list(csv.DictReader(io.StringIO(files[2].read_text())))
    document = json.loads(files[3].read_text())
    # "25" in upright-5 by show: as many drops land as are printed
    shown = program("show", mark, *AT).out
    drops = int(next(line for line in shown.splitlines() if "strokes," in line).split()[-2])
    assert len(rows) == len(document["drops"]) == drops
    assert document["flight"]["readable"] is True
    assert document["verdict"] == document["flight"]["verdict"] == "holds throughout"
    band = document["wake_band"]
    assert [one["wake"] for one in band] == [0.75, 1, 1.1]
    assert all(one["fails"] == "" for one in band)
    assert document["flight"]["dy_mm"] == max(one["dy_mm"] for one in band)
    assert all(0.9 < float(row["y_mm"]) < 2.5 for row in rows)

    picture = ElementTree.fromstring(files[1].read_text())
    paths = picture.findall(".//{http://www.w3.org/2000/svg}path")
    assert sum(path.get("d").count("M") for path in paths) == drops
    assert len(picture.findall(".//{http://www.w3.org/2000/svg}circle")) == drops
    # spread ratio 3.6 x 83.2 um
    assert {path.get("stroke-width") for path in paths} == {"0.300"}
    with Image.open(files[0]) as image:
        colours = image.convert("RGB").getcolors(1 << 24)
    assert len(colours) > 2


def test_uncorrected_charges_miss_their_rows(fly, sure, mark):
    text = fly(mark, "--charges", "alone", profile=sure).text
    assert "each drop charged as if it flew alone" in text
    alone, solved = (
        json.loads(fly(mark, "--charges", charges, "--json", profile=sure).text)["flight"]
        for charges in ("alone", "solved")
    )
    assert alone["dy_mm"] > 10 * solved["dy_mm"]


# at 21 mm two guard drops are not enough for the top rows of this head under stronger wakes
UNSURE = """
message unsure { raster 7 font upright-7 block { line: "5" } }
"""


def test_one_verdict_says_when_it_depends_on_the_wake(fly, tmp_path):
    path = tmp_path / "unsure.rasterc"
    path.write_text(UNSURE)
    middle = PROFILE.with_name("head-middle.toml")
    text = fly(path, "--throw", "21", code=1, profile=middle).text
    is_readable_text(text)
    assert "depends on the wake" in text
    assert "under 0.75 it is readable" in text
    assert "under 1.1 it fails:" in text
    assert "throw 3 guard drops" in text
    assert "holds throughout" not in text
    # what mends it
    mended = tmp_path / "mended.toml"
    two = "drops = 7\nguard_drops = 2"
    mended.write_text(middle.read_text().replace(two, two[:-1] + "3"))
    assert "holds throughout" in fly(path, "--throw", "21", profile=mended).text


def test_a_map_names_both_policies_and_their_windows(fly, sure, mark, tmp_path):
    out = tmp_path / "map.csv"
    given = ("--map", "--speeds", "0.5", "--throws", "8,12", "--out", out)
    text = fly(
        mark, *given, "--workers", 2, "--results", tmp_path / "kept.sqlite", profile=sure
    ).text
    is_readable_text(text)
    assert text.count("window: 0.5 to 0.5 m/s and 8 to 12 mm (3 points") == 2
    rows = list(csv.DictReader(io.StringIO(out.read_text())))
    assert [row["charges"] for row in rows] == ["fixed"] * 3 + ["solved"] * 3
    assert float(rows[0]["height_mm"]) < float(rows[2]["height_mm"])
    # a second time everything comes from the results file
    again = json.loads(
        fly(mark, *given, "--results", tmp_path / "kept.sqlite", "--json", profile=sure).text
    )
    assert [str(row["rms_mm"]) for row in again["map"]] == [row["rms_mm"] for row in rows]


def test_a_climb_says_plainly_what_fails_and_where(fly, mark):
    text = fly(mark, "--climb-to", "twice", code=1).text
    is_readable_text(text)
    # 92000 drops / (12 + 1 + 2) slots x 0.26 mm
    assert "the raster follows up to 1.59 m/s" in " ".join(text.split())
    assert "1.7 m/s  fails" in text
    assert "0.5 m/s  holds throughout" in text
    assert "holds up to 1.1 m/s" in text


def test_drift_is_told_with_its_assumptions(fly, sure, mark):
    found = json.loads(fly(mark, "--drift", 2, "--seed", 3, "--json", profile=sure).text)
    assert len(found["flights"]) == 2
    assert found["flights"][0]["jet_speed"] != found["flights"][1]["jet_speed"]
    assert found["cautions"]
    text = fly(mark, "--drift", 2, "--seed", 3, profile=sure).text
    is_readable_text(text)
    assert "an assumption" in text
    assert "follows the phase of charging" in text


def test_firing_orders_are_compared(fly, sure, mark, tmp_path):
    given = ["--compare", "firing", "--out", tmp_path / "orders.svg"]
    text = fly(mark, *given, profile=sure).text
    is_readable_text(text)
    assert "low row first, own" in text
    assert "ranked by the worst of all wakes" in text
    assert "every second row" in text
    assert (tmp_path / "orders.svg").read_text().count("<rect") == 4


def test_charges_are_followed_as_the_line_runs_up(fly, sure, mark):
    found = json.loads(fly(mark, "--compare", "charges", "--json", profile=sure).text)
    off = {(r["charges"], r["speed_m_s"]): r for r in found["charges"]}
    fastest = max(speed for _, speed in off)
    assert off["solved", fastest]["dy_mm"] < off["fixed", fastest]["dy_mm"]
    assert off["solved", fastest]["dy_mm"] < off["followed", fastest]["dy_mm"]


def test_everything_wrong_with_the_options_is_said(fly, mark, tmp_path):
    given = ("--map", "--drift", 3, "--charges", "much", "--speed", -1, "--out", "x.bmp")
    text = fly(mark, *given, "--out", tmp_path / "no" / "x.png", code=2).text
    for code in (
        "two-studies", "unknown-choice", "bad-speed", "unknown-suffix", "unused-option",
    ):  # fmt: skip
        assert f"[{code}]" in text


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (("--speed", "0.0009"), "give 0.001 to 30 m/s"),  # as in a profile
        (("--speed", "30.1"), "give 0.001 to 30 m/s"),
        (("--map", "--speeds", "0.0009"), "give 0.001 to 30 m/s"),
        (("--throw", "0"), "is no throw"),
        (("--throw", "1000"), "is no throw"),
        (("--drift", "0"), "cannot be drawn"),
        (("--map", "--speeds", "fast"), "not a list of numbers"),
        (("--climb-to", "fast"), "is no line speed"),
        (("--climb-to", "0.2"), "there is no climb"),
        (("--climb-to", "nan"), "there is no climb"),
        (("--map", "--workers", "0"), "cannot be started"),
        (("--speeds", "1"), "belong to --map"),
        (("--compare", "colours"), "firing, rasters, charges"),
        (("--workers", "2", "--cluster", "tcp://127.0.0.1:1"), "two places"),
    ],
)
def test_mistakes_are_told(fly, mark, given, said):
    assert said in fly(mark, *given, code=2).text


def test_a_profile_without_flight_says_what_to_add(fly, mark):
    bottle = PROFILE.parents[1] / "profiles" / "cable-5.toml"
    assert "[flight.jet]" in fly(mark, profile=bottle, code=2).text
    grounded = json.loads(fly(mark, "--json", profile=bottle, code=2).text)
    assert grounded["diagnostics"][0]["code"] == "no-flight"


@pytest.mark.skipif(PLOTS, reason="matplotlib is installed")
def test_a_missing_extra_is_named_and_nothing_is_written(fly, mark, tmp_path):
    given = ("--drift", 1, "--out", tmp_path / "a.csv", "--out", tmp_path / "a.png")
    assert "rasterc[plots]" in fly(mark, *given, code=2).text
    assert not list(tmp_path.iterdir())


@pytest.mark.skipif(not PLOTS, reason="the extra plots is not installed")
@pytest.mark.parametrize("study", [("--drift", 2), ("--map", "--speeds", 0.5, "--throws", 10)])
@pytest.mark.parametrize("kind", ["png", "svg"])
def test_diagrams_are_drawn(fly, sure, mark, tmp_path, study, kind):
    out = tmp_path / f"diagram.{kind}"
    fly(mark, *study, "--out", out, profile=sure)
    if kind == "png":
        with Image.open(out) as image:
            assert min(image.size) > 300
    else:
        assert ElementTree.parse(out).getroot().tag.endswith("svg")


@pytest.mark.skipif(sys.platform == "win32", reason="signals of POSIX")
def test_ctrl_c_leaves_nothing_half_written(mark, tmp_path):
    given = ["fly", mark, *AT, "--profile", PROFILE, "--drift", 500, "--out", tmp_path / "a.csv"]
    given += ["--results", tmp_path / "kept.sqlite"]
    process = subprocess.Popen(
        [PROGRAM, *map(str, given)],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=ENVIRONMENT,
    )  # fmt: skip
    deadline = time.monotonic() + 600
    while not (tmp_path / "kept.sqlite").exists() and time.monotonic() < deadline:
        time.sleep(0.05)
    time.sleep(0.5)
    process.send_signal(signal.SIGINT)
    out, complaints = process.communicate(timeout=600)
    assert process.returncode == 130
    assert not out
    assert b"Traceback" not in complaints
    assert not (tmp_path / "a.csv").exists()
    assert not list(tmp_path.glob(".a.csv*"))
