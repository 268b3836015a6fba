"""What was asked of the file system: a change of any answer is seen, and nothing else is."""

from pathlib import Path

import pytest

from rasterc import files
from rasterc.diagnostics import InputError
from rasterc.files.answers import Answers, noting
from rasterc.fonts.library import FontBook
from rasterc.values.dates.zones import find_zone


@pytest.fixture
def folder(tmp_path, monkeypatch):
    (tmp_path / "a.txt").write_text("one")
    (tmp_path / "below").mkdir()
    (tmp_path / "below" / "b.txt").write_text("two")
    (tmp_path / "link").symlink_to("a.txt")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def refused(path):
    with pytest.raises(InputError):
        files.read_file(path, 1 << 10)


ASKED = {
    "contents": (lambda: files.read_file("a.txt", 1 << 10), lambda at: at("a.txt").write_text("1")),
    "too large": (lambda: files.read_file("a.txt", 1 << 10),
                  lambda at: at("a.txt").write_text("one" * 1000)),
    "gone": (lambda: files.read_file("a.txt", 1 << 10), lambda at: at("a.txt").unlink()),
    "a missing file": (lambda: refused("c.txt"), lambda at: at("c.txt").write_text("")),
    "a folder to read": (lambda: refused("below"), lambda at: (
        at("below").rename("moved"), at("below").write_text(""))),
    "of a library": (lambda: files.note_read("a.txt"), lambda at: at("a.txt").write_text("1")),
    "a link": (lambda: files.real_path("link"), lambda at: (
        at("link").unlink(), at("link").symlink_to("below/b.txt"))),
    "what there is": (lambda: files.is_there("a.txt"), lambda at: at("a.txt").unlink()),
    "what there is not": (lambda: files.is_file("c.txt"), lambda at: at("c.txt").write_text("")),
    "a kind": (lambda: files.is_folder("below"), lambda at: (
        at("below").rename("moved"), at("below").write_text(""))),
    "files below": (lambda: files.find_files(files.real_path("."), ".txt"),
                    lambda at: at("below/new.txt").write_text("")),
    "entries": (lambda: files.entries(files.real_path("."), ".txt"),
                lambda at: at("new.txt").write_text("")),
}  # fmt: skip


@pytest.mark.parametrize("what", ASKED)
def test_a_changed_answer_is_seen(folder, what):
    ask, change = ASKED[what]
    with noting() as noted:
        ask()
    assert noted
    assert Answers().are(noted)
    (folder / "beside.dat").write_text("nobody asked for this")
    assert Answers().are(noted)
    change(folder.joinpath)
    assert not Answers().are(noted)


def test_the_first_answer_stays(folder):
    """A file that changes while it is worked with is not taken for what was read first."""
    with noting() as noted:
        files.read_file("a.txt", 1 << 10)
        (folder / "a.txt").write_text("changed")
        files.read_file("a.txt", 1 << 10)
    assert not Answers().are(noted)


def test_a_block_hears_of_those_inside_it_and_of_nothing_after(folder):
    with noting() as outer:
        with noting() as inner:
            files.is_there("a.txt")
        files.is_there("link")
    files.is_there("below")
    assert len(inner) == 1
    assert len(outer) == 2


def test_a_font_beside_the_message_comes_before_the_one_that_was_found(folder):
    with noting() as noted:
        FontBook(folder).find("upright-7")
    assert Answers().are(noted)
    (folder / "fonts").mkdir()
    assert Answers().are(noted)
    (folder / "fonts" / "upright-7.bdf").write_text("")
    assert not Answers().are(noted)


def test_a_zone_is_its_file(folder):
    with noting() as noted:
        find_zone("Europe/Dublin", None)
    [path] = [one.path for one in noted if one.what == "contents"]
    assert Path(path).parts[-2:] == ("Europe", "Dublin")
    assert Answers().are(noted)
    assert not Answers().are(dict.fromkeys(noted, "another release"))
