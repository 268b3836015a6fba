"""A batch that a ledger numbers: each number once, over jobs, restarts, kills and stops."""

import csv
import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from rasterc.ledger import Ledger

MESSAGE = """message m { raster 16 font upright-7
  clock packed in "Etc/UTC", day from 06:00
  counter case from 1 to 50000, restart daily of packed
  counter reel from 10 to 99990, step 10, each 3 times, at end wrap
  counter unused from 1 to 9
  input lot one of "A" "B", default "A"
  block { line: "L" packed(yyDDD HH:mm:ss) lot  line: case(00000) "-" reel(00000) } }"""
AT = ("--at", "2027-11-25 14:05")
REQUEST = "0c8d4f0e-2f5b-4a39-9d0a-5d3d1b7a6c11"


@pytest.fixture
def batch(program, tmp_path, monkeypatch):
    """Runs a batch that the ledger numbers; what its rows print."""
    monkeypatch.chdir(tmp_path)
    Path("m.rasterc").write_text(MESSAGE)
    Ledger.create("n.ledger")

    def run(count, *more, out="x.csv", at=AT, code=0, file="m.rasterc"):
        options = ("--count", count, "--out", out, "--ledger", "n.ledger", "--allow-repeats")
        ended = program("batch", file, *options, *at, *more, code=code)
        if code:
            return ended
        with Path(out).open(newline="") as rows:
            return [
                (int(row["counter.case"]), int(row["counter.reel"])) for row in csv.DictReader(rows)
            ]

    return run


def standings():
    with Ledger.open("n.ledger") as ledger:
        assert ledger.verify() == []
        return {one.series.name: one for one in ledger.standings()}


def sums(name):
    issued = standings()[name].issued
    return [(one.printed, one.void, one.open) for one in issued]


def test_jobs_go_on_behind_one_another(batch):
    cases, reels = [], []
    for count in (7, 1, 20):
        rows = batch(count, out=f"{count}.csv")
        cases += [case for case, _ in rows]
        reels += [reel for _, reel in rows]
    assert cases == list(range(1, 29))
    assert reels == [10 * (1 + n // 3) for n in range(28)]
    assert sums("m.case 2027-11-25") == sums("m.reel") == [(7, 0, 0), (1, 0, 0), (20, 0, 0)]
    assert set(standings()) == {"m.case 2027-11-25", "m.reel"}


def test_a_job_over_restarts_reserves_in_each_series(batch):
    batch(10)
    late = ("--at", "2027-11-26 05:59:57")
    rows = batch(8, "--every", "1s", out="y.csv", at=late)
    assert [case for case, _ in rows] == [11, 12, 13, 1, 2, 3, 4, 5]
    assert [reel for _, reel in rows] == [10 * (1 + n // 3) for n in range(10, 18)]
    assert sums("m.case 2027-11-25") == [(10, 0, 0), (3, 0, 0)]
    assert sums("m.case 2027-11-26") == [(5, 0, 0)]
    assert [case for case, _ in batch(3, out="z.csv", at=("--at", "2027-11-26 09:00"))] == [6, 7, 8]


def test_the_manifest_is_a_witness(batch):
    batch(5)
    batch(5, out="y.csv")
    with Ledger.open("n.ledger") as ledger:
        for name in ("x.csv", "y.csv"):
            assert ledger.denied_by(f"{name}.manifest.json") == ""
        told = json.loads(Path("y.csv.manifest.json").read_text())
        held = told["went_in"]["asked"]["ledger"]["held"]
        assert [(one["counter"], one["row"], one["count"], one["first"]) for one in held] == [
            ("case", 1, 5, 5), ("reel", 1, 5, 5),
        ]  # fmt: skip
        assert told["ledger"]["seq"] == held[-1]["seq"]
        told["ledger"]["seq"] = 999
        Path("y.csv.manifest.json").write_text(json.dumps(told))
        assert "knows of 999" in ledger.denied_by("y.csv.manifest.json")


def test_past_the_end_nothing_is_written_and_nothing_stays_open(batch):
    batch(49_990, "--part-rows", 8192)
    ended = batch(11, out="y.csv", code=2)
    assert "10 of its 50,000 prints left, not 11" in ended.said
    assert not Path("y.csv").exists()
    assert sums("m.case 2027-11-25") == [(49_990, 0, 0)]
    Path("m.rasterc").write_text(MESSAGE.replace("counter reel", "counter a").replace(
        "reel(", "a(").replace("counter case", "counter z").replace("case(", "z("))  # fmt: skip
    program_order = batch(50_001, out="y.csv", code=2)  # a is reserved before z is refused
    assert "m.z 2027-11-25" in program_order.said
    if "m.a" in standings():
        assert sums("m.a") == [(0, 50_001, 0)]


def test_what_is_found_voids_the_numbers(batch):
    text = MESSAGE.replace('"A" "B", default "A"', '"A\u0416" "B", default "A\u0416"')
    Path("odd.rasterc").write_text(text)
    batch(5, "--strict", file="odd.rasterc", code=1)
    assert not Path("x.csv").exists()
    assert sums("m.case 2027-11-25") == [(0, 5, 0)]
    assert [case for case, _ in batch(2)] == [6, 7]


def test_the_same_request_gives_the_same_bytes(batch):
    batch(5, "--request", REQUEST)
    before = Path("x.csv").read_bytes()
    batch(9, out="y.csv")
    batch(5, "--request", REQUEST, out="z.csv")
    assert Path("z.csv").read_bytes() == before
    assert sums("m.reel") == [(5, 0, 0), (9, 0, 0)]
    with Ledger.open("n.ledger") as ledger:
        held = ledger.reserve("other", "", 5, "a", REQUEST)
        ledger.void(held, "torn")
    assert [case for case, _ in batch(5, "--request", REQUEST, out="v.csv")] == [1, 2, 3, 4, 5]
    assert "error[bad-request]" in batch(5, "--request", "seven", out="w.csv", code=2).said


def test_numbers_that_were_voided_are_not_printed(batch):
    text = MESSAGE.replace('"A" "B", default "A"', '"A\u0416" "B", default "A\u0416"')
    Path("odd.rasterc").write_text(text)
    batch(5, "--strict", "--request", REQUEST, file="odd.rasterc", code=1)
    assert "error[request-void]" in batch(5, "--request", REQUEST, out="z.csv", code=2).said
    assert not Path("z.csv").exists()
    assert sums("m.case 2027-11-25") == [(0, 5, 0)]


def test_texts_of_an_input_count_apart(batch):
    for lot in "AB":
        rows = batch(4, "--per", "lot", "--set", f"lot={lot}", "--job", lot, out=f"{lot}.csv")
        assert [case for case, _ in rows] == [1, 2, 3, 4]
    assert set(standings()) == {
        f'm.{name} lot="{lot}"{day}' for lot in "AB"
        for name, day in (("case", " 2027-11-25"), ("reel", ""))
    }  # fmt: skip
    assert {one.range.job for each in standings().values() for one in each.issued} == {"A", "B"}


def rows_of(program, text, *more, out="r.out.csv", code=0):
    """The rows that a batch of data prints, numbered by the ledger."""
    Path("r.csv").write_text(text)
    options = ("--rows", "r.csv", "--out", out, "--ledger", "n.ledger", "--allow-repeats")
    ended = program("batch", "m.rasterc", *options, *more, code=code)
    if code:
        assert not Path(out).exists()
        return ended.said
    with Path(out).open(newline="") as rows:
        return [
            (int(row["counter.case"]), int(row["counter.reel"])) for row in csv.DictReader(rows)
        ]


@pytest.fixture
def data(batch):
    """A message that declares nothing that it does not print."""
    batch(2)
    Path("m.rasterc").write_text(MESSAGE.replace("counter unused from 1 to 9\n", "\n"))


def test_rows_of_data_are_numbered(data, program):
    assert rows_of(program, "lot\nA\nB\nA\n", *AT) == [(3, 10), (4, 20), (5, 20)]
    assert rows_of(program, "lot,case\nA,9\nB,9\n", *AT, out="b.csv") == [(9, 20), (9, 30)]
    times = "at\n2027-11-25 23:00\n2027-11-26 05:59\n"
    assert rows_of(program, times, out="c.csv") == [(6, 30), (7, 30)]
    assert sums("m.case 2027-11-25") == [(2, 0, 0), (3, 0, 0), (2, 0, 0)]
    assert sums("m.reel") == [(2, 0, 0), (3, 0, 0), (2, 0, 0), (2, 0, 0)]


def test_rows_that_a_ledger_cannot_number_are_refused(data, program):
    before = standings()
    over = rows_of(program, "at\n2027-11-26 05:59\n2027-11-26 06:00\n", code=2)
    assert "error[too-many-series]: counter case restarts within the rows" in over
    assert "--per lot" in rows_of(program, "lot\nA\n", *AT, "--per", "lot", code=2)
    assert "no counter" in rows_of(program, "case,reel\n1,10\n", *AT, code=2)
    assert standings() == before
    assert "row 2" in rows_of(program, "lot\nA\nC\n", *AT, code=1)
    assert sums("m.case 2027-11-25") == [(2, 0, 0), (0, 2, 0)]
    assert "49,996 of its 50,000" in rows_of(program, "lot\n" + "A\n" * 49_997, *AT, code=2)
    assert "lies past the end" in rows_of(program, "lot\n" + "A\n" * 50_001, *AT, code=2)


def test_what_a_ledger_cannot_number_is_refused(batch):
    assert "--set case" in batch(4, "--set", "case=7", code=2).said
    Path("none.rasterc").write_text('message none { raster 7 font upright-7 block { line: "A" } }')
    assert "no counter" in batch(4, file="none.rasterc", at=(), code=2).said
    often = MESSAGE.replace("restart daily of packed", "restart per crew").replace(
        "  counter case", '  shift crew of packed { "A" from 06:00 "B" from 14:00 }\n  counter case'
    )
    Path("often.rasterc").write_text(often)
    assert "error[too-many-series]" in batch(
        2000, "--every", "9 h", file="often.rasterc", code=2
    ).said  # fmt: skip
    assert standings() == {}


def test_a_job_that_is_killed_goes_on_with_its_numbers(batch):
    batch(10)
    command = ["batch", "m.rasterc", "--count", "45000", "--part-rows", "8192", "--out", "y.csv",
               "--ledger", "n.ledger", "--allow-repeats", *AT]  # fmt: skip
    process = subprocess.Popen(
        [sys.executable, "-m", "rasterc", *command], stdout=subprocess.DEVNULL
    )
    while process.poll() is None and not list(Path("y.csv.parts").glob("part-*.json")):
        time.sleep(0.01)
    os.kill(process.pid, signal.SIGKILL)
    process.wait()
    assert Path("y.csv.parts").exists()
    assert sums("m.case 2027-11-25") == [(10, 0, 0), (0, 0, 45_000)]
    assert [case for case, _ in batch(3, out="z.csv")] == [45_011, 45_012, 45_013]
    other = batch(45_001, "--part-rows", 8192, out="y.csv", code=2)
    assert "error[other-job]" in other.said
    rows = batch(45_000, "--part-rows", 8192, out="y.csv")
    assert [case for case, _ in rows] == list(range(11, 45_011))
    assert sums("m.case 2027-11-25") == [(10, 0, 0), (45_000, 0, 0), (3, 0, 0)]


def test_parts_of_another_job_leave_nothing_open(batch):
    batch(10)
    Path("y.csv.parts").mkdir()
    Path("y.csv.parts/order.json").write_text("{}")
    from rasterc.batch.keeping import ORDER

    job = ("--part-rows", 8192)
    Path("y.csv.parts", ORDER).write_text('{"asked": {"count": 7}}')
    assert "error[other-job]" in batch(20_000, *job, out="y.csv", code=2).said
    assert sums("m.case 2027-11-25") == [(10, 0, 0)]
    left = {"count": 20_000, "ledger": {"job": REQUEST}}
    Path("y.csv.parts", ORDER).write_text(json.dumps({"asked": left}))
    assert "error[other-job]" in batch(20_000, *job, out="y.csv", code=2).said
    assert sums("m.case 2027-11-25") == [(10, 0, 0), (0, 20_000, 0)]
