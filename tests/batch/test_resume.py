"""A batch that was killed goes on from its parts, to the same bytes."""

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

MESSAGE = """message m { raster 16 font upright-7
  clock packed in "Europe/Dublin"
  counter case from 1 to 9999999, restart daily of packed
  block { line: "L" packed(yyDDD)  line: case(0000000) packed(HH:mm:ss) } }"""
COUNT, PART = 60_000, 8192


@pytest.fixture
def command(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("m.rasterc").write_text(MESSAGE)
    Path("r.csv").write_text("case\n" + "".join(f"{n}\n" for n in range(1, COUNT + 1)))

    def of(out, *source):
        return (
            "batch",
            "m.rasterc",
            *source,
            "--every",
            "0.75s",
            "--part-rows",
            PART,
            "--out",
            out,
        )

    return of


def killed(arguments, parts, rng):
    """Start the program, and end it once some part is kept."""
    process = subprocess.Popen(
        [sys.executable, "-m", "rasterc", *map(str, arguments)], stdout=subprocess.DEVNULL
    )
    while process.poll() is None and not list(parts.glob("part-*.json")):
        time.sleep(0.01)
    time.sleep(rng.random() * 0.2)
    os.kill(process.pid, signal.SIGKILL)
    process.wait()


@pytest.mark.parametrize("source", [("--count", COUNT), ("--rows", "r.csv")], ids=["count", "rows"])
@pytest.mark.parametrize("suffix", [".csv", ".parquet"])
def test_the_same_bytes_after_kills(program, command, source, suffix):
    rng = random.Random(suffix)
    at = ("--at", "2027-11-25 14:05")
    program(*command(f"whole{suffix}", *source), *at)
    parts = Path(f"x{suffix}.parts")
    killed([*command(f"x{suffix}", *source), *at], parts, rng)
    if parts.exists():
        for path in list(parts.glob("part-*.json"))[:1]:  # a part that the disk has changed
            data = parts / f"{path.stem}{suffix}"
            data.write_bytes(data.read_bytes()[:-1])
    ended = program(*command(f"x{suffix}", *source), *at)
    assert Path(f"x{suffix}").read_bytes() == Path(f"whole{suffix}").read_bytes()
    assert not parts.exists()
    assert "60,000 rows" in ended.out


def test_the_moment_is_kept(program, command, monkeypatch):
    """Without --at it is now, and stays what it was when the batch began."""
    from rasterc.batch import work

    done_before = work.in_process
    from rasterc.cli.batch import asked

    def two(order, tasks):
        todo = iter(tasks)
        yield from done_before(order, [next(todo), next(todo)])
        raise KeyboardInterrupt

    with monkeypatch.context() as here:
        here.setattr(asked, "in_process", two)
        program(*command("x.csv", "--count", COUNT), code=130)
    first = Path("x.csv.parts/part-000000.csv").read_bytes()
    time.sleep(1.1)
    ended = program(*command("x.csv", "--count", COUNT))
    assert "went on: 2 parts were there" in ended.out
    assert Path("x.csv").read_bytes().startswith(first)


def test_parts_of_another_job_are_refused(program, command):
    Path("x.csv.parts").mkdir()
    Path("x.csv.parts/job.json").write_text("{}")
    ended = program(*command("x.csv", "--count", COUNT), code=2)
    assert "x.csv.parts holds parts of another job" in ended.said
    assert not Path("x.csv").exists()


def test_two_workers_write_the_same(program, command):
    at = ("--at", "2027-11-25 14:05")
    for out, workers in (("a.jsonl", 1), ("b.jsonl", 2)):
        program(*command(out, "--rows", "r.csv"), *at, "--workers", workers)
    assert Path("a.jsonl").read_bytes() == Path("b.jsonl").read_bytes()


def test_parts_are_not_put_among_other_files(program, command):
    at = ("--at", "2027-11-25 14:05", "--parts")
    program(*command("x.csv", "--count", COUNT), *at)
    before = sorted(path.name for path in Path("x.csv").iterdir())
    assert len(before) == 8
    ended = program(*command("x.csv", "--count", PART), *at, code=2)  # 7 parts would be left over
    assert "x.csv is there, and is no job that was stopped" in ended.said
    assert sorted(path.name for path in Path("x.csv").iterdir()) == before
    Path("own").mkdir()
    Path("own/notes.txt").write_text("mine")
    Path("y.csv").symlink_to("own")
    program(*command("y.csv", "--count", COUNT), *at, code=2)
    assert [path.name for path in Path("own").iterdir()] == ["notes.txt"]
