"""`rasterc cache`, and commands that find what was flown."""

import json
from pathlib import Path

import pytest

SHARED = Path(__file__).parents[2] / "shared"
HEAD = SHARED / "heads" / "head-fine.toml"


@pytest.fixture
def mark(tmp_path):
    path = tmp_path / "mark.rasterc"
    path.write_text('message mark { raster 7 font upright-7 block { line: "1" } }')
    return path


def test_what_was_flown_is_told_found_and_deleted(program, mark, tmp_path, monkeypatch):
    cache = {"RASTERC_CACHE": str(tmp_path / "kept")}
    check = ("check", mark, "--profile", HEAD)  # at the time of now: no verdict is kept
    first = program(*check, code=None, **cache).both
    listed = program("cache", **cache).text
    assert f"{tmp_path / 'kept'}: " in listed
    assert "charges of 5 strokes of 7 rows" in listed
    assert "landings of 5 strokes of 7 rows" in listed
    # a second time nothing flies
    with monkeypatch.context() as here:
        from rasterc.sweep import inspection

        inspection._inspect.cache_clear()
        here.setattr("rasterc.head.windows.fly", None)
        assert program(*check, code=None, **cache).both == first
    document = json.loads(program("cache", "--clear", "--json", **cache).out)
    assert document["deleted"] > 1
    assert document["kept"] == []
    assert " 0 entries" in program("cache", **cache).text


def test_it_can_be_switched_off(program, mark, tmp_path):
    home = {"XDG_CACHE_HOME": str(tmp_path / "xdg")}
    program("fly", mark, "--profile", HEAD, code=None, RASTERC_CACHE="off", **home)
    assert not (tmp_path / "xdg").exists()
    assert "off" in program("cache", RASTERC_CACHE="off").text
    assert json.loads(program("cache", "--json", RASTERC_CACHE="off").out)["folder"] is None


def test_verdicts_are_told_found_and_deleted(program, mark, tmp_path, monkeypatch):
    cache = {"RASTERC_CACHE": str(tmp_path / "kept")}
    check = ("check", mark, "--at", "2027-11-25 14:05")
    first = program(*check, code=None, **cache).both
    assert "1 x verdicts on a message file" in program("cache", **cache).text
    with monkeypatch.context() as here:
        here.setattr("rasterc.inspection.looking.look_at", None)
        assert program(*check, code=None, **cache).both == first
    assert json.loads(program("cache", "--clear", "--json", **cache).out)["deleted"] == 1
    assert program(*check, code=None, **cache).both == first
