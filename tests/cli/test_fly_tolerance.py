"""`rasterc fly --tolerance`: the text, the document, the table and the picture agree."""

import csv
import importlib.util
import io
import json
from pathlib import Path

import pytest
from PIL import Image

PROFILE = Path(__file__).parents[2] / "shared" / "heads" / "head-fine.toml"
PLOTS = importlib.util.find_spec("matplotlib") is not None


@pytest.fixture
def message(tmp_path):
    path = tmp_path / "one.rasterc"
    path.write_text('message one { raster 5 font upright-5 block { line: "1" } }')
    return path


def test_tolerances_as_text_document_and_table(program, message, tmp_path):
    files = [tmp_path / f"out.{kind}" for kind in ("csv", "json", *(["png"] if PLOTS else []))]
    given = [part for file in files for part in ("--out", file)]
    kept = tmp_path / "kept.sqlite"
    asked = ("fly", message, "--profile", PROFILE, "--tolerance", "--draws", 2, "--results", kept)
    text = program(*asked, *given, code=0).out
    said = [line for line in text.splitlines() if "wrote" not in line]
    assert max(map(len, said)) <= 80
    assert "trigger jitter: cannot say" in text
    assert "all together, 2 draws, seed 1" in text
    assert "kilovolts" in text

    document = json.loads(files[1].read_text())
    rows = list(csv.DictReader(io.StringIO(files[0].read_text())))
    assert len(rows) == len(document["tolerances"]) == 10
    for row, kept_row in zip(rows, document["tolerances"], strict=True):
        assert float(row["holds_to"]) == kept_row["holds_to"]
        assert f"{row['what']} {'+' if row['way'] == 'up' else '-'}" in text
        tried, usual = float(row["tried_to"]), float(row["usual"])
        assert min(tried, usual) <= float(row["holds_to"]) <= max(tried, usual)
        assert bool(row["fails_at"]) is bool(row["fails_by"])
    assert [one["what"] for one in document["untold"]] == ["trigger jitter"]
    assert (document["seed"], document["draws"]) == (1, 2)
    assert document["together"][0]["share"] <= 1
    if PLOTS:
        with Image.open(files[2]) as picture:
            assert min(picture.size) > 300
    # once more, from the flights that were kept
    again = json.loads(program(*asked, "--json", code=0).out)
    assert again["tolerances"] == document["tolerances"]
    assert again["together"] == document["together"]


def test_a_message_that_fails_as_it_is_has_none(program, message, tmp_path):
    asked = tmp_path / "high.toml"
    dot = "[product]\n"
    asked.write_text(PROFILE.read_text().replace(dot, dot + "min_character_height_mm = 3\n"))
    picture = ("--out", tmp_path / "none.svg") if PLOTS else ()
    text = program("fly", message, "--profile", asked, "--tolerance", *picture, code=1).out
    assert "nothing may drift: as it is it fails by height" in text
    if PLOTS:
        assert "nothing may drift" in (tmp_path / "none.svg").read_text()


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (("--tolerance", "--draws", 0), "0 draws cannot be flown"),
        (("--tolerance", "--map"), "are different studies"),
        (("--draws", 3), "--draws belongs to --tolerance"),
        (("--tolerance", "--throw", 5), "belong to a single flight"),
    ],
)
def test_what_makes_no_sense_is_told(program, message, given, said):
    ended = program("fly", message, "--profile", PROFILE, *given, code=2)
    assert said in ended.said
    assert not ended.out
