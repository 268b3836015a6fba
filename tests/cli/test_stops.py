"""Stopped from outside, in the middle: no process stays, and no half file. Real program.

Waits are for states, not for times; their limits are generous for a busy machine.
"""

import os
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

SHARED = Path(__file__).parents[2] / "shared"
BEST = SHARED / "messages" / "best-before.rasterc"
HEAD = SHARED / "heads" / "head-middle.toml"
PROGRAM = Path(sys.executable).with_name("rasterc")
PROC = Path("/proc/self/stat").exists()
LONG = 240  # seconds
MARK = 'message mark { raster 7 font upright-7 block { line: "1" } }'
FLY = ["fly", "../mark.rasterc", "--profile", "../head.toml"]
KEPT = ["--results", "kept.sqlite", "--out", "a.csv"]


@pytest.fixture
def folder(tmp_path):
    """An empty folder, beside it a message and a profile that are flown quickly."""
    (tmp_path / "mark.rasterc").write_text(MARK)
    head = HEAD.read_text("utf-8").replace("[flight]\n", "[flight]\nwake = [1, 1, 1]\n")
    (tmp_path / "head.toml").write_text(head, "utf-8")
    here = tmp_path / "here"
    here.mkdir()
    return here


def wait_until(what, *args) -> None:
    end = time.monotonic() + LONG
    while not what(*args):
        assert time.monotonic() < end, f"{what.__name__}{args} never came"
        time.sleep(0.05)


def children(pid: int) -> dict[int, str]:
    """The processes a process started that still run, and when each was started."""
    return {one: told[1] for one in _processes() if (told := _told(one)) and told[0] == pid}


def _processes() -> list[int]:
    return [int(path.name) for path in Path("/proc").iterdir() if path.name.isdigit()]


def _told(pid: int) -> tuple[int, str] | None:
    """Parent and start of a process; None when it has ended."""
    try:
        fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    except OSError:
        return None
    return None if fields[0] in "ZX" else (int(fields[1]), fields[19])


def ended(started: dict[int, str]) -> bool:
    return not any((told := _told(pid)) and told[1] == when for pid, when in started.items())


def flights(folder: Path) -> int:
    """How many flights the results file holds."""
    try:
        with sqlite3.connect(f"file:{folder / 'kept.sqlite'}?mode=ro", uri=True) as file:
            return file.execute("select count(*) from result").fetchone()[0]
    except sqlite3.Error:
        return 0


def start(folder: Path, *arguments: object) -> subprocess.Popen[bytes]:
    command = [PROGRAM, *map(str, arguments)]
    return subprocess.Popen(command, cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.PIPE)


def stop_with_its_workers(going, how: signal.Signals, at_work: Callable[[], bool]) -> None:
    """Stop the program once it is at work: it says nothing, and none of its workers stays."""
    try:
        wait_until(lambda: at_work() or going.poll() is not None)
        workers = children(going.pid)
        assert len(workers) >= 2
        going.send_signal(how)
        out, said = going.communicate(timeout=LONG)
    finally:
        going.kill()
    wait_until(ended, workers)
    assert out == b""
    if how == signal.SIGKILL:  # Python may say that it cleared away what was left
        assert b"Traceback" not in said
    else:
        assert said == b""
    assert going.returncode == (130 if how != signal.SIGKILL else -signal.SIGKILL)


@pytest.mark.skipif(not PROC, reason="looks for processes in /proc")
@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGTERM, signal.SIGKILL])
def test_workers_end_with_the_program(folder, how):
    going = start(folder, *FLY, "--drift", 2000, "--workers", 2, *KEPT)
    stop_with_its_workers(going, how, lambda: flights(folder) > 0)
    with closing(sqlite3.connect(folder / "kept.sqlite")) as kept:  # undoes what a kill cut off
        assert kept.execute("pragma integrity_check").fetchall() == [("ok",)]
        assert kept.execute("select count(*) from result").fetchone()[0] >= 1
    left = {path.name for path in folder.iterdir()}
    assert left - {"kept.sqlite-journal"} == {"kept.sqlite"}  # SQLite's own account of its changes


@pytest.mark.skipif(not PROC, reason="looks for processes in /proc")
@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGTERM, signal.SIGKILL])
def test_processes_that_check_end_with_the_program(folder, how):
    files = [folder.parent / f"{number}.rasterc" for number in range(40)]
    for file in files:
        file.write_text(BEST.read_text("utf-8"), "utf-8")
    going = start(
        folder, "check", *files, "--all", "--years", 50, "--workers", 2, "--sarif", "a.sarif"
    )
    stop_with_its_workers(going, how, lambda: len(children(going.pid)) >= 2)
    assert not list(folder.iterdir())


@pytest.mark.skipif(not PROC, reason="sends a signal as a terminal does")
def test_ctrl_c_of_a_terminal_reaches_the_whole_group(folder):
    command = [PROGRAM, *map(str, FLY), "--drift", "2000", "--workers", "2", *KEPT]
    going = subprocess.Popen(
        command, cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.PIPE, process_group=0
    )
    try:
        wait_until(lambda: len(children(going.pid)) >= 2 or going.poll() is not None)
        workers = children(going.pid)  # still starting
        os.killpg(going.pid, signal.SIGINT)
        out, said = going.communicate(timeout=LONG)
    finally:
        going.kill()
    wait_until(ended, workers)
    assert (going.returncode, out, said) == (130, b"", b"")


@pytest.mark.parametrize("study", [["--drift", 2000], ["--map", "--speeds", "1,1.5,2,3,4,5"]])
@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGTERM])
def test_flights_stop_in_one_process(folder, how, study):
    going = start(folder, *FLY, *study, *KEPT)
    try:
        wait_until(lambda: flights(folder) or going.poll() is not None)
        going.send_signal(how)
        out, said = going.communicate(timeout=LONG)
    finally:
        going.kill()
    assert (going.returncode, said) == (130, b"")
    assert [path.name for path in folder.iterdir()] == ["kept.sqlite"]
    if "--map" in study:  # rows are shown as they come: whole ones, and no window of them all
        assert out.startswith(b"mark ") or not out
        assert out.endswith(b"\n") or not out
        assert b"window" not in out
    else:
        assert out == b""


STUCK = """
import sys, time
import {module} as module
def stuck(*arguments, **options):
    print("there", flush=True)
    while True:
        time.sleep(0.01)
module.{function} = stuck
sys.argv = ["rasterc", *sys.argv[1:]]
from rasterc.cli import main
main()
"""
"""The program, going on for ever at the heart of a command."""
HEARTS = [
    ("rasterc.checks.survey", "survey", ["check", BEST, "--all", "--sarif", "a.sarif"]),
    ("rasterc.extremes.report", "extremes", ["extremes", BEST, "--json"]),
    ("rasterc.extremes.repeats", "repeats", ["repeats", BEST]),
    ("rasterc.tracing.trace", "trace", ["trace", BEST, "--line", "*", "--line", "*"]),
    ("rasterc.tracing.diff", "diff", ["diff", BEST, BEST, "--out", "a.png"]),
    ("rasterc.output.code.write", "write_strokes", ["show", BEST, "--out", "a.png"]),
    ("os", "replace", ["show", BEST, "--out", "a.png"]),  # when the file is all but there
]


@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGTERM])
@pytest.mark.parametrize(("module", "function", "arguments"), HEARTS)
def test_a_command_stops_in_the_middle(folder, how, module, function, arguments):
    script = STUCK.format(module=module, function=function)
    going = subprocess.Popen(
        [sys.executable, "-c", script, *map(str, arguments)],
        cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # fmt: skip
    try:
        assert going.stdout.readline() == b"there\n"
        going.send_signal(how)
        out, said = going.communicate(timeout=LONG)
    finally:
        going.kill()
    assert (going.returncode, out, said) == (130, b"", b"")
    assert list(folder.iterdir()) == []
