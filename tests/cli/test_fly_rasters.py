"""`rasterc fly --compare rasters` on one character, under one wake."""

import json
from pathlib import Path

import pytest
from PIL import Image

PROFILE = Path(__file__).parents[2] / "shared" / "heads" / "head-fine.toml"


@pytest.fixture(scope="module")
def message(tmp_path_factory):
    path = tmp_path_factory.mktemp("rasters") / "one.rasterc"
    path.write_text('message one { raster 5 font upright-5 block { line: "1" } }')
    return path


@pytest.fixture(scope="module")
def profile(tmp_path_factory):
    """Five and eleven rows only, and a bench that has measured its wakes."""
    text = PROFILE.read_text().replace("[flight]\n", "[flight]\nwake = [1, 1, 1]\n")
    head, *rasters = text.split("[[raster]]")
    rest = rasters[-1].split("\n\n", 1)[1]
    wanted = "".join(
        f"[[raster]]\ndrops = {drops}\nguard_drops = 2\nstroke_gap_drops = 2\n\n"
        for drops in (5, 11)
    )
    path = tmp_path_factory.mktemp("rasters") / "two.toml"
    path.write_text(head + wanted + rest)
    return path


def test_rasters_are_weighed_in_every_firing_order(program, message, profile, tmp_path):
    asked = ("fly", message, "--profile", profile, "--compare", "rasters")
    files = [tmp_path / "out.json", tmp_path / "out.png"]
    text = program(*asked, *(part for f in files for part in ("--out", f)), code=0).out
    assert max(len(line) for line in text.splitlines() if "wrote" not in line) <= 80
    assert "kilovolts" in text
    assert "take raster" in text
    assert "one line more takes raster 11, 2 lines of 5" in " ".join(text.split())

    document = json.loads(files[0].read_text())
    rows = document["rasters"]
    assert all(said in " ".join(text.split()) for said in document["advice"])
    assert [row["lines"] for row in rows] == [1] * 8 + [2] * 4
    assert len({row["firing"] for row in rows}) == 4
    given = {row["raster"]: row for row in rows if row["lines"] == 1}
    five, nine = given[5], given[11]
    assert (five["font_rows"], nine["font_rows"]) == (5, 9)
    assert five["height_mm"] == pytest.approx(nine["height_mm"], abs=0.03)
    # as many drops as the art of each font has for a 1
    assert nine["drops"] > five["drops"]
    assert nine["ink_ug"] / five["ink_ug"] == pytest.approx(nine["drops"] / five["drops"])
    # 92000 drops / 15 and 33 slots, pitches in the ratio of 4 to 8 gaps
    assert five["fastest_m_s"] / nine["fastest_m_s"] == pytest.approx(33 / 15 * 2)
    for row in rows:
        assert (row["reached_m_s"] is None) is not row["readable"]
        assert row["reached_m_s"] is None or row["reached_m_s"] <= row["fastest_m_s"]
        assert row["misread_high"] is None or 0 <= row["misread_low"] <= row["misread_high"]
    with Image.open(files[1]) as picture:
        assert min(picture.size) > 100


def test_at_one_speed_slow_rasters_print_higher(program, message, profile):
    asked = ("fly", message, "--profile", profile, "--compare", "rasters", "--equal", "speed")
    found = json.loads(program(*asked, "--speed", 1.0, "--json").out)
    assert found["equal"] == "speed"
    assert {row["speed_m_s"] for row in found["rasters"]} == {1.0}
    five, eleven = (
        next(r for r in found["rasters"] if r["raster"] == n and r["lines"] == 1) for n in (5, 11)
    )
    assert eleven["fastest_m_s"] == pytest.approx(1.0)
    assert eleven["row_pitch_mm"] * 8 > 2 * five["row_pitch_mm"] * 4


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (("--equal", "speed"), "--equal belongs to --compare rasters"),
        (("--compare", "rasters", "--equal", "width"), "height, speed"),
        (("--compare", "rasters", "--results", "x.sqlite"), "makes no use of --results"),
        (("--workers", 2), "a single flight makes no use of --workers"),
    ],
)
def test_what_makes_no_sense_is_told(program, message, profile, given, said):
    assert said in program("fly", message, "--profile", profile, *given, code=2).said
