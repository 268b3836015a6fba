"""The pictures of the README show what the program makes now."""

import csv
import importlib.util
import json
import re
from pathlib import Path

import pytest

TOP = Path(__file__).parent.parent
TOOL = TOP / "tests" / "tools" / "draw_pictures.py"
AGAIN = "run `make pictures`, and look at them"


@pytest.fixture(scope="module")
def drawing():
    spec = importlib.util.spec_from_file_location("draw_pictures", TOOL)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize("name", ["elderflower.svg", "night-shift.svg"])
def test_drops_are_drawn_as_they_print_now(drawing, program, monkeypatch, tmp_path, name):
    monkeypatch.chdir(TOP)
    program("show", *drawing.DROPS[name], "--out", tmp_path / name)
    assert (tmp_path / name).read_bytes() == (drawing.PICTURES / name).read_bytes(), AGAIN


def test_the_map_shows_what_is_flown_now(drawing, program, monkeypatch, tmp_path):
    monkeypatch.chdir(TOP)
    with (drawing.PICTURES / "map.csv").open(newline="") as file:
        drawn = {(r["speed_m_s"], r["throw_mm"], r["charges"]): r for r in csv.DictReader(file)}
    out = tmp_path / "map.csv"
    few = ("--map", "--speeds", "1", "--throws", "10,14")
    program("fly", *drawing.BENCH, *few, "--out", out, code=None)
    with out.open(newline="") as file:
        flown = list(csv.DictReader(file))
    assert len(flown) == 8  # with the usual speed
    for point in flown:
        shown = drawn[point["speed_m_s"], point["throw_mm"], point["charges"]]
        assert shown["verdict"] == point["verdict"], AGAIN
        # placement error in pitches; the map shows two digits
        off = float(shown["worst_pitches"]), float(point["worst_pitches"])
        assert off[0] == pytest.approx(off[1], abs=0.01), AGAIN


def test_the_page_looks_as_it_was_photographed(drawing):
    assert json.loads(drawing.AS_DRAWN.read_text())["page"] == drawing.page_digest(), AGAIN


def test_the_readme_shows_all_of_them(drawing):
    text = (TOP / "README.md").read_text()
    shown = set(re.findall(r"docs/pictures/([\w.-]+)", text))
    pictures = {p.name for p in drawing.PICTURES.iterdir() if p.suffix in (".svg", ".png")}
    assert shown == pictures
