"""`rasterc watch`: another look whenever something that was read is another one."""

import json
import os
import re
import shutil
import signal
import subprocess
import sys
import threading
from contextlib import contextmanager
from itertools import count
from pathlib import Path

import pytest

from rasterc.cli.watch import screen
from rasterc.cli.watch.looks import Options, look_at
from rasterc.cli.watch.screen import Part, fill
from rasterc.cli.watch.waiting import changes, folders_of, wait_for_change
from rasterc.files.answers import noting

SHARED = Path(__file__).parents[2] / "shared"
PROGRAM = Path(sys.executable).with_name("rasterc")
AT = ("--at", "2027-11-25 14:05")
MESSAGE = """\
use "common.rasterc"
message m {
  raster 7
  font own
  clock packed in "Europe/Dublin"
  block { line: "A" packed(dd, table day) }
  block { picture "mark.pbm" }
}
"""


@pytest.fixture
def place(tmp_path, monkeypatch):
    """A message with all that it can use, its profile, and a plant of it."""
    (tmp_path / "m.rasterc").write_text(MESSAGE)
    (tmp_path / "common.rasterc").write_text('table day { 25 -> "X" other -> "-" }\n')
    (tmp_path / "mark.pbm").write_text("P1\n2 2\n1 0\n0 1\n")
    shutil.copy(SHARED / "profiles/bottle-16.toml", tmp_path / "p.toml")
    (tmp_path / "fonts").mkdir()
    shutil.copy(SHARED.parent / "fonts-demo/upright-7.bdf", tmp_path / "fonts/own.bdf")
    (tmp_path / "plant.toml").write_text(
        '[[line]]\nname = "one"\nprofile = "p.toml"\n[[message]]\nfile = "*.rasterc"\n'
        'at = "2027-11-25 14:05"\n'
    )
    monkeypatch.chdir(tmp_path)
    return tmp_path


@contextmanager
def changing(path):
    """Write a file again and again, each time something else, as long as the block lasts."""
    text, done = path.read_text(), threading.Event()

    def write():
        for number in count():
            if done.wait(0.2):
                return
            path.write_text(f"{text}# {number}\n")

    thread = threading.Thread(target=write)
    thread.start()
    try:
        yield
    finally:
        done.set()
        thread.join()


def noted_of(where, **options):
    with noting() as noted:
        look = look_at(where, Options(**options), ())
    return look, noted


READ = ["m.rasterc", "common.rasterc", "mark.pbm", "fonts/own.bdf", "p.toml", "plant.toml"]


@pytest.mark.parametrize("path", READ)
@pytest.mark.parametrize("where", [Path("m.rasterc"), None])
def test_all_that_is_read_is_watched(place, where, path):
    _, noted = noted_of(where)
    assert changes(noted) == ()
    assert (place / path).parent in folders_of(noted)
    os.utime(path)
    assert changes(noted) == ()  # it was only touched
    with Path(path).open("a") as file:
        file.write("\n")
    assert path in {os.path.relpath(one) for one in changes(noted)}


@pytest.mark.parametrize("path", READ)
def test_what_is_taken_away_and_comes_back_is_seen(place, path):
    _, noted = noted_of(Path("m.rasterc"))
    Path(path).rename("away")
    assert changes(noted)
    look, noted = noted_of(Path("m.rasterc"))
    assert look.code in ((0, 1) if path == "plant.toml" else (2,))
    Path("away").rename(path)
    assert changes(noted)


def test_a_new_message_of_a_pattern_is_seen(place):
    _, noted = noted_of(None)
    Path("new").mkdir()
    assert changes(noted) == ()
    Path("new.rasterc").write_text(MESSAGE.replace("message m", "message n"))
    assert changes(noted)


def test_it_waits_until_something_is_another(place):
    _, noted = noted_of(Path("m.rasterc"))
    with changing(Path("common.rasterc")):
        assert {os.path.relpath(one) for one in wait_for_change(noted)} == {"common.rasterc"}


def test_what_happened_before_it_waits_is_seen(place):
    _, noted = noted_of(Path("m.rasterc"))
    Path("m.rasterc").write_text(MESSAGE.replace('"A"', '"B"'))
    assert "m.rasterc" in {os.path.relpath(one) for one in wait_for_change(noted)}


def test_a_message_is_shown_and_checked_on_the_lines_of_its_plant(program, place):
    ended = program("watch", "m.rasterc", "--rounds", 1)
    head, *lines = ended.out.splitlines()  # of the seven one is the zone's
    assert "first look; 7 files watched, Ctrl-C ends" in head
    assert lines[0] == "m at 2027-11-25 14:05:00+00:00"
    assert any(line.startswith("m at 2027-11-25 14:05:00+00:00 on one: ") for line in lines)


def test_what_the_plant_says_of_it_holds(place):
    plant = Path("plant.toml").read_text()
    look, _ = noted_of(Path("m.rasterc"))
    [checked] = [part for part in look.parts if part.command == "rasterc check"]
    rules = set(re.findall(r"(?:error|warning|note)\[([\w-]+)\]", "\n".join(checked.lines)))
    assert rules == {"missing-expect", "lot-mark"}
    silence = '[[silence]]\nrule = "{}"\nbecause = "a test"\n'
    Path("plant.toml").write_text(plant + "".join(silence.format(rule) for rule in rules))
    look, _ = noted_of(Path("m.rasterc"))
    assert look.code == 0
    Path("plant.toml").write_text('rules = ["egg"]\n' + plant)
    look, _ = noted_of(Path("m.rasterc"))
    assert "error[egg-code]:" in "\n".join(look.parts[0].lines)


def test_a_message_on_two_lines_is_checked_on_both_and_shown_once(place):
    second = '[[line]]\nname = "two"\nprofile = "p.toml"\nspeeds_m_s = [30]\n'
    Path("plant.toml").write_text(second + Path("plant.toml").read_text())
    look, _ = noted_of(Path("m.rasterc"))
    assert [part.command.split()[1] for part in look.parts] == ["check", "show"]
    assert any("on two: " in line and " error" in line for line in look.parts[0].lines)


def test_without_a_plant_it_is_as_show_and_check(program, place):
    Path("plant.toml").unlink()
    given = ("m.rasterc", *AT, "--profile", "p.toml")
    watched = program("watch", *given, "--rounds", 1).out
    for command in ("show", "check"):
        assert program(command, *given, code=None).out in watched


def test_each_change_is_told(program, place):
    with changing(Path("m.rasterc")):
        ended = program("watch", "m.rasterc", "--rounds", 3, "--json")
    text, looks = ended.out, []
    while text.strip():
        document, at = json.JSONDecoder().raw_decode(text)
        looks.append(document)
        text = text[at:].lstrip()
    assert [look["round"] for look in looks] == [1, 2, 3]
    assert looks[0]["changed"] == []
    for look in looks[1:]:
        assert {os.path.relpath(one) for one in look["changed"]} == {"m.rasterc"}


def test_of_a_plant_what_changed_is_shown_above_the_list(place):
    with noting():
        parts = look_at(None, Options(), [str(place / "m.rasterc")]).parts
    assert [part.command.split()[1] for part in parts] == ["check", "list", "show"]
    listed = parts[1].lines
    assert listed[0].startswith("message")
    assert listed[1].startswith("m ")


def test_a_plant_file_with_faults_is_told_and_watched_on(place):
    Path("plant.toml").write_text("[[line]\n")
    look, noted = noted_of(None)
    assert look.code == 2
    assert "plant.toml:1:" in look.parts[0].lines[0]
    assert "plant.toml" in {os.path.relpath(one.path) for one in noted}
    look, _ = noted_of(Path("m.rasterc"))
    assert look.code == 2


def test_a_message_with_faults_is_told_once(place):
    Path("m.rasterc").write_text("message m {")
    look, _ = noted_of(Path("m.rasterc"))
    assert look.code == 2
    assert [part.command.split()[1] for part in look.parts] == ["check"]
    for changed in ((), ("m.rasterc",)):
        look = look_at(None, Options(), changed)
        told = "\n".join(line for part in look.parts for line in part.lines)
        assert told.count("m.rasterc:1:12: error[") == len(changed)
        assert "broken  the text ends, but" in told


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["none.rasterc"], "error[cannot-read]: there is nothing called none.rasterc"),
        (["none"], "error[cannot-read]: there is nothing called none"),
    ],
)
def test_what_is_not_there_is_refused(program, place, arguments, said):
    assert said in program("watch", *arguments, code=2).said


def test_without_a_plant_above_it_is_refused(program, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert "error[no-plant]" in program("watch", code=2).said


def test_without_the_extra_it_is_named(program, place, monkeypatch):
    monkeypatch.setitem(sys.modules, "watchfiles", None)
    said = program("watch", "m.rasterc", code=2).said
    assert "error[missing-package]: watching files needs the package watchfiles" in said
    assert 'pip install "rasterc[watch]"' in said


def test_where_no_more_can_be_watched_it_says_so(program, place, monkeypatch):
    import watchfiles

    def refuse(*folders, **settings):
        raise OSError(28, "OS file watch limit reached")

    monkeypatch.setattr(watchfiles, "watch", refuse)
    said = program("watch", "m.rasterc", code=2).said
    assert "error[cannot-watch]: files cannot be watched: " in said
    assert "WATCHFILES_FORCE_POLLING=1" in said


class Terminal(screen._Captured):
    """A terminal of ten rows."""

    def isatty(self):
        return True


@pytest.mark.parametrize("lines", [1, 3, 4, 20])
def test_one_screen_is_filled_and_no_more(monkeypatch, lines):
    terminal = Terminal()
    monkeypatch.setattr(sys, "stdout", terminal)
    monkeypatch.setattr(screen.shutil, "get_terminal_size", lambda _: os.terminal_size((20, 10)))
    shown = tuple(f"drops {number}" for number in range(lines))
    found = tuple("x" * 40 for _ in range(2))  # two rows each
    fill("now", [Part(found, "rasterc check m", 1), Part(shown, "rasterc show m", 0)])
    cleared, *rest = terminal.getvalue().split("\x1b[H")
    assert cleared == "\x1b[2J\x1b[3J"
    head, *below = rest[0].splitlines()
    assert head == "now"
    assert sum(-(-len(line) // 20) or 1 for line in below) <= 9
    if lines == 1:
        assert below == [*shown, "", *found]
    else:
        assert below[:2] == list(found)
        assert below[-1].startswith("... ")
        assert below[-1].endswith(" lines more: rasterc show m")


def test_ctrl_c_ends_it_quietly(place):
    going = subprocess.Popen(
        [PROGRAM, "watch", "m.rasterc"], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    assert b"first look" in going.stdout.readline()
    going.send_signal(signal.SIGINT)
    _, said = going.communicate(timeout=240)
    assert (going.returncode, said) == (130, b"")
