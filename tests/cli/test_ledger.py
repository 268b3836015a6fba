"""`rasterc ledger` as its users meet it."""

import csv
import io
import json
import os
import re
import sqlite3
import stat
from contextlib import closing
from pathlib import Path

import pytest

from rasterc.diagnostics import InputError
from rasterc.ledger import witness

REQUEST = "0c8d4f0e-2f5b-4a39-9d0a-5d3d1b7a6c11"
MESSAGE = """message box {
  raster 7
  font upright-7
  clock packed in "Europe/Dublin", day from 06:00
  counter case from 10 to 50, step 10, each 2 times, restart daily of packed
  counter reel from 1 to 40, base 16, at end wrap
  input lot one of "A" "B"
  block { line: packed(ddMM) case(00) reel lot }
}
"""
AT = ("--at", "2027-11-25 14:05")
CASE = ("ledger", "reserve", "box.rasterc", "--counter", "case", *AT)
WHERE = {"RASTERC_LEDGER": "n.ledger"}


@pytest.fixture(autouse=True)
def place(program, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("box.rasterc").write_text(MESSAGE)
    program("ledger", "init", **WHERE)
    return tmp_path


def test_a_range_may_begin_between_two_prints_of_one_number(program):
    said = program(*CASE, "--count", 3, "--request", REQUEST, **WHERE).out
    assert said == (
        "box.case 2027-11-25: 10 (1 of 2) to 20 (1 of 2), 3 prints for box\n"
        f"  7 prints left\n  request {REQUEST}\n"
    )
    assert "20 (2 of 2), 1 print for late" in program(
        *CASE, "--count", 1, "--job", "late", **WHERE
    ).out  # fmt: skip
    assert program(*CASE, "--count", 3, "--request", REQUEST, **WHERE).out.startswith(
        "box.case 2027-11-25: 10 (1 of 2) to 20 (1 of 2)"
    )
    said = program(*CASE, "--count", 7, code=2, **WHERE).said
    assert "error[counter-ended]: box.case 2027-11-25 has 6 of its 10 prints left, not 7" in said
    assert "reserve 6 of them" in said


def test_numbers_that_begin_again_go_on_in_their_digits(program):
    reel = ("ledger", "reserve", "box.rasterc", "--counter", "reel")
    assert ": 1 to F, 15 prints" in program(*reel, "--count", 15, **WHERE).out
    said = program(*reel, "--count", 27, **WHERE).out
    assert ": 10 to 2, 27 prints" in said
    assert "left" not in said


def test_the_moment_decides_and_a_clock_set_back_is_no_series(program):
    program(*CASE, "--count", 1, **WHERE)
    night = ("ledger", "reserve", "box.rasterc", "--counter", "case", "--count", 1)
    assert "box.case 2027-11-25: 10 (2 of 2)" in program(
        *night, "--at", "2027-11-26 05:59", **WHERE
    ).out  # fmt: skip
    assert "box.case 2027-11-26: 10 (1" in program(*night, "--at", "2027-11-26 06:00", **WHERE).out
    assert "error[clock-set-back]" in program(*night, code=2, **WHERE).said  # it is 2026, say
    ended = program(*CASE, "--count", 1, **WHERE)
    assert "box.case 2027-11-25: 20 (1" in ended.out
    assert "note[earlier-series]" in ended.said


def test_each_text_of_an_input_may_count_apart(program):
    for lot in "AB":
        said = program(*CASE, "--count", 2, "--per", "lot", "--set", f"lot={lot}", **WHERE).out
        assert f'box.case lot="{lot}" 2027-11-25: 10 (1 of 2) to 10 (2 of 2)' in said
    assert "error[counter-otherwise]" in program(*CASE, "--count", 1, code=2, **WHERE).said
    assert "box.other" not in program("ledger", "list", **WHERE).out
    for wrong in (["--per", "lot"], ["--per", "lt"], ["--set", "lot=C", "--per", "lot"],
                  ["--set", "case=10"], ["--counter", "cse"]):  # fmt: skip
        said = program(*CASE, "--count", 1, *wrong, code=2, **WHERE).said
        assert "help:" in said


def test_which_counter_is_meant_is_asked(program):
    said = program("ledger", "reserve", "box.rasterc", "--count", 1, code=2, **WHERE).said
    assert "--counter: case, reel" in said


def test_what_became_of_a_reservation(program):
    program(*CASE, "--count", 8, "--request", REQUEST, **WHERE)
    assert "5 printed, 3 open" in program(
        "ledger", "confirm", REQUEST, "--printed", 5, **WHERE
    ).out  # fmt: skip
    assert "8 prints issued, 5 printed, 3 open" in program("ledger", "list", "--open", **WHERE).out
    assert "3 void (torn)" in program("ledger", "void", REQUEST, "--reason", "torn", **WHERE).out
    assert "nothing is open" in program("ledger", "list", "--open", **WHERE).out
    assert "3 void (torn)" in program("ledger", "list", **WHERE).out
    assert "nothing is issued" in program("ledger", "list", "--counter", "no", **WHERE).out
    assert "error[no-such-request]" in program(
        "ledger", "confirm", REQUEST.replace("0", "1"), code=2, **WHERE
    ).said  # fmt: skip


def test_a_change_in_the_file_is_found(program, tmp_path):
    program(*CASE, "--count", 3, **WHERE)
    program(*CASE, "--count", 3, **WHERE)
    assert "2 entries, all whole" in program("ledger", "verify", **WHERE).out
    with sqlite3.connect(tmp_path / "n.ledger") as database:
        database.execute("update entry set job = 'another' where seq = 1")
    database.close()
    assert program("ledger", "verify", code=1, **WHERE).out == (
        "entry 1: it was changed after it was written\n"
    )


def test_exports_are_read_by_others(program):
    program(*CASE, "--count", 3, "--job", 'a "b", c', **WHERE)
    text = program("ledger", "export", "--out", "-", "--format", "csv", **WHERE).out
    [row] = csv.DictReader(io.StringIO(text))
    assert (row["job"], row["first_number"], row["last_number"]) == ('a "b", c', "10", "20")
    program("ledger", "export", "--out", "x.jsonl", **WHERE)
    [line] = Path("x.jsonl").read_text().splitlines()
    assert {name: str(value) for name, value in json.loads(line).items()} == row


def test_a_backup_in_the_ledgers_place_waits_for_a_person(program):
    program(*CASE, "--count", 3, **WHERE)
    program("ledger", "backup", "--out", "b.ledger", **WHERE)
    program(*CASE, "--count", 3, **WHERE)
    Path("n.ledger").write_bytes(Path("b.ledger").read_bytes())
    said = program(*CASE, "--count", 1, code=2, **WHERE).said
    assert "error[ledger-restored]" in said
    assert "it is a backup" in said
    advance = ("ledger", "advance", "--reason", "seen")
    assert "error[not-said]" in program(*advance, code=2, **WHERE).said
    past = (*advance, "box.rasterc", *AT, "--past")
    for wrong in ("case", "case=15", "case=60", "case=x", "cse=10"):
        program(*past, wrong, code=2, **WHERE)
    said = program(*past, "case=30", "--more", **WHERE).out
    assert "passed over 20 (2 of 2) to 30 (2 of 2), 3 prints" in said
    assert "still in doubt" in said
    said = program(*past, 'reel="1F"', **WHERE).out
    assert "passed over 1 to 1F, 31 prints\nit is used from now on" in said
    assert ": 40 (1 of 2)" in program(*CASE, "--count", 1, **WHERE).out
    assert "passed over" in program("ledger", "list", **WHERE).out


def test_the_witness_keeps_its_mode_and_links(program):
    Path("real.json").touch(0o600)
    Path("real.json").unlink()
    both = {"RASTERC_LEDGER": "w.ledger", "RASTERC_WITNESS": "w.json"}
    program("ledger", "init", **both)
    Path("w.json").rename("real.json")
    Path("real.json").chmod(0o640)
    Path("w.json").symlink_to("real.json")
    os.link("real.json", "other.json")
    before = Path("real.json").read_text()
    program(*CASE, "--count", 1, **both)
    assert Path("w.json").is_symlink()
    assert stat.S_IMODE(Path("real.json").stat().st_mode) == 0o640
    assert Path("real.json").read_text() == Path("other.json").read_text() != before


@pytest.mark.parametrize("name", ["-", "box.rasterc", "sub", "/dev/full", "no/folder", "n.ledger"])
def test_no_witness_is_kept_in_what_is_none(program, name):
    Path("sub").mkdir()
    before = Path("box.rasterc").read_bytes()
    both = {"RASTERC_LEDGER": "w.ledger", "RASTERC_WITNESS": name}
    program("ledger", "init", code=2, **both)
    assert not Path("w.ledger").exists()
    said = program(*CASE, "--count", 1, code=2, **(both | WHERE)).said
    assert "help:" in said
    assert Path("box.rasterc").read_bytes() == before
    assert "0 entries" in program("ledger", "verify", **WHERE).out


@pytest.mark.parametrize("name", ["-", "box.rasterc", "sub", "/dev/null", "no/folder/n.ledger"])
def test_no_ledger_is_kept_in_what_is_none(program, name):
    Path("sub").mkdir()
    before = Path("box.rasterc").read_bytes()
    for arguments in (("ledger", "init"), (*CASE, "--count", 1), ("ledger", "list")):
        assert "help:" in program(*arguments, "--ledger", name, code=2).said
    assert Path("box.rasterc").read_bytes() == before
    there = {path.name for path in Path().iterdir()}
    assert there == {"box.rasterc", "sub", "n.ledger", "n.ledger-lock"}


def test_a_clock_that_went_back_is_noted(program):
    program(*CASE, "--count", 1, **WHERE)
    for at, noted in (("2026-01-01", False), ("2999-01-01", True)):
        with closing(sqlite3.connect("n.ledger")) as database, database:
            database.execute(f"update entry set at = '{at}T12:00:00.000Z'")
        said = program(*CASE, "--count", 1, **WHERE).said
        assert ("note[clock-set-back]" in said) == noted


def test_a_reservation_that_was_not_answered_names_its_request(program, monkeypatch):
    both = {"RASTERC_LEDGER": "w.ledger", "RASTERC_WITNESS": "w.json"}
    program("ledger", "init", **both)

    def full(path, data):
        raise InputError.one("cannot-write", f"cannot write {path}: no space", help="make room")

    with monkeypatch.context() as here:
        here.setattr(witness, "rewrite_file", full)
        said = program(*CASE, "--count", 2, code=2, **both).said
    [request] = re.findall(r"note\[request\]: the request was ([0-9a-f-]{36})", said)
    assert "10 (1 of 2) to 10 (2 of 2)" in program(
        *CASE, "--count", 2, "--request", request, **both
    ).out  # fmt: skip


def test_a_new_ledger_begins_as_another(program):
    program(*CASE, "--count", 3, **WHERE)
    said = program("ledger", "init", "--ledger", "new.ledger", "--from", "n.ledger").out
    assert said == "made the ledger new.ledger: 1 entry; advance it before its use\n"
    new = {"RASTERC_LEDGER": "new.ledger"}
    assert "error[ledger-restored]" in program(*CASE, "--count", 1, code=2, **new).said
    said = program("ledger", "advance", "--as-it-is", "--reason", "moved", **new).out
    assert said == "noted: moved\nit is used from now on\n"
    assert ": 20 (2 of 2)" in program(*CASE, "--count", 1, **new).out
