"""Every output of every command, over everything a path can lead to: nothing is lost.

A command that gets a new option for a file to write is found by `test_every_output_is_tried`.
"""

import os
import stat
import threading
from dataclasses import dataclass
from pathlib import Path
from types import SimpleNamespace

import pytest
import typer

from rasterc.cli.app import app
from rasterc.cli.edge import run
from rasterc.cli.fly import flights
from rasterc.files import disk
from rasterc.ledger import Ledger

SHARED = Path(__file__).parents[2] / "shared"
FONTS = Path(__file__).parents[2] / "fonts-demo"
AT = ("--at", "2027-11-25 14:05")
MESSAGE = """use "plant.rasterc"
message m {
  raster 7
  font own
  block { line: "A1" case(0) }
  block { picture "mark.pbm" }
}
"""


@dataclass(frozen=True)
class Output:
    """An option that writes, on the quickest job of its command.

    Attributes:
        command: words of the command, with its input.
        option: the option.
        name: a file it can write, below the folder of the test.
        inputs: the files the command reads.
        folder: the option takes the folder of the file.
    """

    command: tuple[str, ...]
    option: str
    name: str
    inputs: tuple[str, ...]
    folder: bool = False

    def __str__(self) -> str:
        return " ".join((*self.command[:2], self.option)).replace(" m.rasterc", "")

    def arguments(self, path: Path) -> list[str]:
        return [*self.command, self.option, str(path.parent if self.folder else path)]


USED = ("m.rasterc", "plant.rasterc", "fonts/own.bdf")
PRINTED = (*USED, "mark.pbm", "p.toml")
FLOWN = (*USED, "mark.pbm", "h.toml")
LEDGER = ("--ledger", "n.ledger")
PROFILE, HEAD = ("--profile", "p.toml"), ("--profile", "h.toml")
MANY = ("--allow-repeats", "--rows", "rows.csv")
OUTPUTS = [
    Output(("show", "m.rasterc", *AT, *PROFILE), "--out", "x.png", PRINTED),
    Output(("compile", "m.rasterc", *AT, *PROFILE), "--out", "x.json", PRINTED),
    Output(("compile", "m.rasterc", *AT, *PROFILE), "--out", "x.npz", PRINTED),
    Output(("batch", "m.rasterc", *AT, *PROFILE, *MANY), "--out", "x.csv", (*PRINTED, "rows.csv")),
    Output(
        ("batch", "m.rasterc", *AT, *PROFILE, *MANY, "--out", "y.csv"),
        "--faults", "x.json", (*PRINTED, "rows.csv"),
    ),
    Output(("check", "m.rasterc", *AT, *PROFILE), "--sarif", "x.sarif", PRINTED),
    Output(("check", "m.rasterc", *AT, *PROFILE), "--junit", "x.xml", PRINTED),
    Output(
        ("extremes", "m.rasterc", "--years", "1", "--measure", "longest", *PROFILE),
        "--out", "sub/m-longest.png", PRINTED, folder=True,
    ),
    Output(("diff", "m.rasterc", "m.rasterc", *PROFILE, "--years", "1"), "--out", "x.png", PRINTED),
    Output(("list", "."), "--out", "x.html", (*USED, "mark.pbm")),
    Output(("fly", "m.rasterc", *AT, *HEAD), "--out", "x.csv", FLOWN),
    Output(("jet", "h.toml"), "--out", "x.csv", ("h.toml",)),
    Output(("ledger", "export", *LEDGER), "--out", "x.csv", LEDGER[1:]),
    Output(("ledger", "backup", *LEDGER), "--out", "x.ledger", LEDGER[1:]),
    Output(("font", "show", "fonts/own.bdf"), "--out", "x.png", USED[2:]),
    Output(("font", "export", "fonts/own.bdf"), "--out", "x.txt", USED[2:]),
    Output(("font", "import", "fonts/own.bdf"), "--out", "x.bdf", USED[2:]),
]  # fmt: skip
RESULTS = ("fly", "m.rasterc", *AT, *HEAD, "--drift", "1", "--results")


@pytest.fixture
def plant(tmp_path, monkeypatch):
    """A folder with a message and all it uses, to run commands in."""
    (tmp_path / "m.rasterc").write_text(MESSAGE)
    (tmp_path / "plant.rasterc").write_text("counter case from 1 to 9\n")
    (tmp_path / "mark.pbm").write_text("P1\n2 2\n1 0\n0 1\n")
    (tmp_path / "p.toml").write_bytes((SHARED / "profiles" / "bottle-16.toml").read_bytes())
    (tmp_path / "h.toml").write_bytes((SHARED / "heads" / "head-middle.toml").read_bytes())
    (tmp_path / "fonts").mkdir()
    (tmp_path / "fonts" / "own.bdf").write_bytes((FONTS / "upright-7.bdf").read_bytes())
    (tmp_path / "rows.csv").write_text("case\n1\nmany\n2\n")
    (tmp_path / "sub").mkdir()
    Ledger.create(tmp_path / "n.ledger")
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture(autouse=True)
def no_flight(monkeypatch):
    """Flights take long; what is tried here is what becomes of the files."""
    table = SimpleNamespace(as_csv=lambda: b"speed,throw\n1,15\n")
    flown = flights.Outcome(["flown"], {}, table, lambda kind: b"", False)
    monkeypatch.setattr(flights, "one_flight", lambda *given: flown)


def contents(folder):
    """Everything below a folder that a command could change."""
    return {
        path: (path.lstat().st_ino, path.lstat().st_mode, path.read_bytes())
        for path in folder.rglob("*")
        if path.is_file()
    }


def refused(plant, capfd, arguments, code):
    before = contents(plant)
    assert run(arguments) == 2, arguments
    said = capfd.readouterr().err
    assert f"error[{code}]" in said, said
    assert contents(plant) == before


def written(arguments):
    assert run(arguments) in (0, 1), arguments


def test_every_output_is_tried():
    """Options of the program that take a path and are not read."""
    read = {
        "--rows",
        "--not-in",
        "--profile",
        "--fonts",
        "--fit",
        "--plant",
        "--tls-certificate",
        "--tls-key",
    }
    kept = {"--witness"}  # kept by the ledger, not by the command: tests/ledger
    options = set()

    def look(command, words):
        for name, inner in getattr(command, "commands", {}).items():
            look(inner, (*words, name))
        for option in command.params:
            if type(option.type).__name__.endswith("Path") and option.opts[0].startswith("--"):
                options.add((*words, option.opts[0]))

    look(typer.main.get_command(app), ())
    tried = {
        (*out.command[: 2 if out.command[0] in ("font", "ledger") else 1], out.option)
        for out in OUTPUTS
    }
    assert {o for o in options if o[-1] not in read | kept} == tried | {("fly", "--results")}


@pytest.mark.parametrize("output", OUTPUTS, ids=str)
def test_links_and_modes_stay(plant, output):
    target = plant / output.name
    real, other = plant / "real", plant / "other"
    real.write_bytes(b"old")
    real.chmod(0o600)
    target.symlink_to(real)
    written(output.arguments(target))
    assert target.is_symlink()
    whole = real.read_bytes()
    assert len(whole) > 3
    assert stat.S_IMODE(real.stat().st_mode) == 0o600
    target.unlink()
    real.write_bytes(b"old")
    os.link(real, target)
    os.link(real, other)
    written(output.arguments(target))
    assert real.read_bytes() == other.read_bytes() == target.read_bytes()
    assert real.read_bytes() != b"old"
    assert not list(plant.rglob("*.tmp"))


@pytest.mark.parametrize("output", OUTPUTS, ids=str)
def test_devices_and_pipes_stay_what_they_are(plant, capfd, monkeypatch, output):
    target = plant / output.name
    target.symlink_to("/dev/null")
    written(output.arguments(target))
    assert stat.S_ISCHR(Path("/dev/null").stat().st_mode)
    target.unlink()
    target.symlink_to("/dev/full")
    refused(plant, capfd, output.arguments(target), "cannot-write")
    target.unlink()
    os.mkfifo(target)
    refused(plant, capfd, output.arguments(target), "cannot-write")
    got = []
    reader = threading.Thread(target=lambda: got.append(target.read_bytes()))
    reader.start()
    monkeypatch.setattr(disk, "_CALM", disk._CALM & ~os.O_NONBLOCK)  # wait for the reader to come
    written(output.arguments(target))
    reader.join()
    assert len(got[0]) > 3
    assert stat.S_ISFIFO(target.stat().st_mode)


@pytest.mark.parametrize("output", OUTPUTS, ids=str)
def test_what_is_protected_or_no_file_is_refused(plant, capfd, output):
    target = plant / output.name
    target.write_bytes(b"old")
    target.chmod(0o444)
    refused(plant, capfd, output.arguments(target), "cannot-write")
    target.chmod(0o644)
    target.unlink()
    target.mkdir()
    refused(plant, capfd, output.arguments(target), "cannot-write")


@pytest.mark.parametrize("output", OUTPUTS, ids=str)
def test_no_input_is_overwritten(plant, capfd, output):
    target = plant / output.name
    for name in output.inputs:
        for link in (os.symlink, os.link):
            link(plant / name, target)
            refused(plant, capfd, output.arguments(target), "would-overwrite")
            target.unlink()


@pytest.mark.parametrize("path", [*FLOWN, "x.csv"])
def test_results_are_kept_in_no_file_of_another_kind(plant, capfd, path):
    (plant / "x.csv").write_bytes(b"SQLite format 3\0 but of something else")
    for name in (path, f"link-{path.replace('/', '-')}"):
        if name != path:
            Path(name).symlink_to(plant / path)
        before = contents(plant)
        assert run([*RESULTS, name]) == 2
        assert contents(plant) == before
    capfd.readouterr()


def test_results_need_a_plain_file_that_may_be_written(plant, capfd):
    os.mkfifo("pipe")
    Path("kept").touch(0o444)
    for path in ("pipe", "sub", "/dev/null", "/dev/full", "kept", "no/folder", "n" * 300):
        refused(plant, capfd, [*RESULTS, path], "cannot-write")
    refused(plant, capfd, [*RESULTS, "x.csv", "--out", "x.csv"], "written-twice")


def test_one_file_is_not_written_twice(plant, capfd):
    Path("link.xml").symlink_to(plant / "x.json")
    both = ["check", "m.rasterc", *AT, "--sarif", "x.json", "--junit", "link.xml"]
    refused(plant, capfd, both, "written-twice")
    twice = ["fly", "m.rasterc", *AT, *HEAD, "--out", "x.csv", "--out", "sub/../x.csv"]
    refused(plant, capfd, twice, "written-twice")


def test_the_formatter_changes_the_contents_only(plant, capfd):
    untidy = 'message m {raster 7 font own\n block{line:"A"}}\n'
    Path("a.rasterc").write_text(untidy)
    Path("a.rasterc").chmod(0o600)
    os.link("a.rasterc", "b.rasterc")
    Path("link.rasterc").symlink_to("a.rasterc")
    assert run(["fmt", "link.rasterc"]) == 0
    assert Path("a.rasterc").read_text() == Path("b.rasterc").read_text() != untidy
    assert stat.S_IMODE(Path("a.rasterc").stat().st_mode) == 0o600
    assert Path("link.rasterc").is_symlink()
    Path("c.rasterc").write_text(untidy)
    Path("c.rasterc").chmod(0o444)
    refused(plant, capfd, ["fmt", "c.rasterc"], "cannot-write")


@pytest.mark.parametrize("name", ["pipe.rasterc", "sub", "/dev/zero", "n" * 300, "a\udcffb"])
def test_no_reader_waits_for_what_is_no_file(plant, capfd, name):
    os.mkfifo("pipe.rasterc")
    code = "cannot-read" if name[0] in "na" else "not-a-file"
    for arguments in (
        ["show", name],
        ["check", "m.rasterc", "--profile", name],
        ["fmt", name],
        ["diff", "m.rasterc", name],
        ["trace", name, "--line", "A"],
    ):
        if arguments != ["fmt", "sub"]:
            refused(plant, capfd, arguments, code)


def test_nothing_a_message_uses_is_waited_for(plant, capfd):
    for name in ("pipe.rasterc", "fonts/pipe.bdf", "pipe.pbm"):
        os.mkfifo(name)
    for old, new in (
        ('use "plant.rasterc"', 'use "pipe.rasterc"'),
        ("font own", "font pipe"),
        ('picture "mark.pbm"', 'picture "pipe.pbm"'),
    ):
        Path("m.rasterc").write_text(MESSAGE.replace(old, new))
        refused(plant, capfd, ["show", "m.rasterc"], "not-a-file")
    refused(plant, capfd, ["check", ".", "--all", "--years", "1"], "not-a-file")
    for arguments in (["show", "fonts/pipe.bdf"], ["import", "fonts/pipe.bdf", "--out", "y.bdf"]):
        refused(plant, capfd, ["font", *arguments], "not-a-file")
