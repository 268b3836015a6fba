"""The demo's command lines do what they say, in a copy of the demo plants."""

import importlib.util
import shlex
import shutil
from pathlib import Path

import pytest

TOP = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def demo():
    spec = importlib.util.spec_from_file_location("demo", TOP / "shared" / "demo.py")
    loaded = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(loaded)
    return loaded


@pytest.fixture
def top(tmp_path):
    shutil.copytree(TOP / "shared", tmp_path / "shared")
    return tmp_path


def done(program, top, monkeypatch, step):
    monkeypatch.chdir(top / step.folder)
    kept = {"RASTERC_CACHE": str(top / "kept")}
    return program(*shlex.split(step.line), code=step.code, **kept)


def test_a_plant_is_shown_checked_and_listed(demo, top, program, monkeypatch):
    demo.mend(top)
    steps = [one for one in demo.STEPS if "fly" not in one.line and "plants" not in one.folder]
    said = [done(program, top, monkeypatch, step).out for step in steps]
    assert len(said) >= 6
    assert "BEST BEFORE END AUG 2028" in said[0]
    assert "10 messages on 4 lines: 3 notes, 7 good" in said[4]  # what the check before it found
    written = {path.name for path in (top / demo.PICTURES).iterdir()}
    assert {"best-before.png", "best-before.svg", "list.html"} <= written


def test_a_raster_that_does_not_hold_is_mended(demo, top, program, monkeypatch):
    demo.mend(top)
    before, after = [step for step in demo.STEPS if step.line.startswith("fly")]
    said = done(program, top, monkeypatch, before).text
    assert "depends on the wake" in said
    assert "throw 3 guard drops" in said
    assert "holds throughout" in done(program, top, monkeypatch, after).text
    assert "drops = 7\nguard_drops = 3" in (top / demo.MENDED).read_text()
    assert len(list((top / demo.PICTURES).glob("flown-*.png"))) == 2


def test_the_larger_plant_has_what_it_says(demo, top, program, monkeypatch):
    check, listed, found = [step for step in demo.STEPS if "plants" in step.folder]
    assert (check.code, check.line) == (2, "check --quiet")  # it is checked in tests/plants
    said = done(program, top, monkeypatch, listed)
    assert said.out.count(" broken ") == 2
    assert "rye-loaf on bakery" in done(program, top, monkeypatch, found).out
