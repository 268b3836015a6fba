"""Rows of data: columns, what they lack and break, told by row and line."""

import json
from datetime import datetime
from pathlib import Path

import polars as pl
import pytest

import rasterc

MESSAGE = """message m { raster 16 font upright-5
  clock packed in "Europe/Dublin"
  input lot matching "[A-Z][0-9]{4}"
  input plant one of "QM 0042" "NA", default "NA"
  counter case from 1 to 9999
  silence missing-expect because "a test"
  silence letters-like-digits because "a test"
  silence character-matrix because "a test"
  silence one-drop-decides because "a test"
  block { line: lot " " packed(dd.MM HH:mm)  line: plant " " case(0000) } }"""


@pytest.fixture
def batch(tmp_path, monkeypatch, program):
    monkeypatch.chdir(tmp_path)
    Path("m.rasterc").write_text(MESSAGE)

    def run(rows, *more, name="r.csv", code=0, out="x.jsonl", at="2027-11-25 14:05"):
        data = rows if isinstance(rows, bytes) else rows.encode()
        Path(name).write_bytes(data)
        command = ("batch", "m.rasterc", "--rows", name, "--out", out, "--at", at)
        return program(*command, *more, code=code)

    return run


def read(name="x.jsonl"):
    return [json.loads(line) for line in Path(name).read_text("utf-8").splitlines()]


def lines(name="x.jsonl"):
    return [(row["line.1"], row["line.2"]) for row in read(name)]


def test_columns_are_inputs_counters_and_moments(batch):
    batch(
        "at,case,lot,plant\r\n"
        "2027-11-25 14:05,0042,A0001,NA\r\n"
        '2027-10-31 01:30+00:00,7,B0002,"QM 0042"\r\n'
    )
    assert lines() == [("A0001 25.11 14:05", "NA 0042"), ("B0002 31.10 01:30", "QM 0042 0007")]


@pytest.mark.parametrize("mark", [";", "\t"])
def test_other_marks_and_a_byte_order_mark(batch, mark):
    batch(b"\xef\xbb\xbf" + f"lot{mark}case\nA0001{mark}3\n".encode())
    assert lines() == [("A0001 25.11 14:05", "NA 0003")]


def test_json_lines_and_parquet(batch):
    batch('{"lot":"A0001"}\n\n{"lot":"A0002","plant":null}\n', name="r.jsonl")
    wanted = [("A0001 25.11 14:05", "NA 0001"), ("A0002 25.11 14:05", "NA 0002")]
    assert lines() == wanted
    pl.DataFrame({"lot": ["A0001", "A0002"]}).write_parquet("r.parquet")
    batch(Path("r.parquet").read_bytes(), name="r.parquet", out="y.jsonl")
    assert lines("y.jsonl") == wanted


BAD = (
    "lot,plant,case\n"
    "A0001,NA,1\n"
    'A0002,"QM\n0042",2\n'  # a break of a line inside quotes
    "A0003,NA\n"
    "a0004,NA,4\n"
    "A0005,NA,many\n"
    "A0006,NA,99999\n"
    "A0007,NA,7\n"
)


def test_what_is_wrong_is_told_by_row_and_line(batch):
    said = batch(BAD, "--faults", "f.jsonl", code=1).said
    assert [row["row"] for row in read()] == [1, 7]
    assert [row["counter.case"] for row in read()] == [1, 7]
    faults = read("f.jsonl")
    found = {(fault["row"], fault["line"], fault["code"]) for fault in faults}
    assert found == {
        (2, 4, "input-mismatch"),
        (3, 5, "broken-row"),
        (4, 6, "input-mismatch"),
        (5, 7, "bad-counter-value"),
        (6, 8, "counter-out-of-reach"),
    }
    assert 'row 4 (line 6): input lot cannot be "a0004"' in said
    assert json.loads(Path("x.jsonl.manifest.json").read_bytes())["refused"] == 5


@pytest.mark.parametrize("options", [("--strict",), ("--max-faults", 2)])
def test_nothing_is_written_when_too_much_is_wrong(batch, options):
    batch(BAD, *options, "--faults", "f.jsonl", code=1)
    assert {path.name for path in Path().iterdir()} == {"m.rasterc", "r.csv", "f.jsonl"}
    assert len({fault["row"] for fault in read("f.jsonl")}) == 5


@pytest.mark.parametrize(
    ("rows", "name", "code", "words"),
    [
        ("lto,case\nA0001,1\n", "r.csv", "unknown-column", 'did you mean "lot"?'),
        ("lot,lot\nA0001,1\n", "r.csv", "column-twice", "several columns"),
        ("", "r.csv", "cannot-read", "it is empty"),
        ('lot\n"A0001\n', "r.csv", "cannot-read", "line 2"),
        (b"lot\nA\xff001\n", "r.csv", "cannot-read", "line 1"),
        ("x", "r.xls", "unknown-suffix", ".csv .parquet"),
        (b"PAR1 no", "r.parquet", "cannot-read", "r.parquet"),
        ("lot,note\nA0001,1\n", "r.csv", "unknown-column", '--ignore "note"'),
    ],
)
def test_data_that_cannot_be_meant(batch, rows, name, code, words):
    said = batch(rows, name=name, code=2).said
    assert f"error[{code}]" in said
    assert words in said
    assert {path.name for path in Path().iterdir()} == {"m.rasterc", name}


def test_columns_that_are_not_needed(batch):
    batch("lot,note\nA0001,1\n", "--ignore", "note")
    assert lines() == [("A0001 25.11 14:05", "NA 0001")]


def test_broken_json_lines(batch):
    said = batch('{"lot":"A0001"}\n{"lot"\n{"lot":7}\n', name="r.jsonl", code=1).said
    assert "row 2 (line 2): it cannot be read" in said
    assert "row 3 (line 3): input lot takes a text, not 7" in said
    assert lines() == [("A0001 25.11 14:05", "NA 0001")]


def test_moments_that_do_not_exist(batch):
    said = batch(
        "lot,at\nA0001,2027-03-28 01:30\nA0002,soon\nA0003,2027-01-01 00:00\n", code=1
    ).said
    assert "row 1 (line 2)" in said
    assert 'row 2 (line 3): "soon" is not a date and time' in said
    assert lines() == [("A0003 01.01 00:00", "NA 0003")]


def test_counters_go_on_and_end(batch):
    rows = "lot\n" + "A0001\n" * 5
    said = batch(rows, "--set", "case=9997", code=1).said
    assert "row 4 is not printed: counter case has ended" in said
    assert [row["counter.case"] for row in read()] == [9997, 9998, 9999]


def test_python_takes_rows_and_gives_arrow(tmp_path):
    code = rasterc.load_text(MESSAGE)
    rows = [{"lot": "A0001"}, {"lot": "A0002", "plant": "QM 0042"}]
    at = datetime(2027, 11, 25, 14, 5)
    [block] = code.batch(rows, at=at)
    assert block.lines(1) == ("A0002 25.11 14:05", "QM 0042 0002")
    assert block.strokes[0].tolist() == list(
        code.resolve(at, inputs={"lot": "A0001"}).strokes().bits
    )
    frame = pl.from_arrow(block.arrow())
    assert frame["line.2"].to_list() == ["NA 0001", "QM 0042 0002"]
    [again] = code.batch(pl.DataFrame(rows), at=at)
    assert pl.from_arrow(again.arrow()).equals(frame)
    counted = list(code.batch(20_000, at=at, every="0.24s", inputs={"lot": "A0001"}))
    assert sum(map(len, counted)) == 9999
    assert counted[-1].refused == ()
    with pytest.raises(rasterc.InputError, match="lot"):
        next(code.batch(3, at=at))


@pytest.mark.parametrize("name", ["r.csv", "r.jsonl", "r.parquet"])
def test_rows_are_counted_for_those_who_watch(tmp_path, name):
    from rasterc.batch.data import about

    frame, path = pl.DataFrame({"lot": ["A", "B", "C"]}), tmp_path / name
    {"r.csv": frame.write_csv, "r.jsonl": frame.write_ndjson, "r.parquet": frame.write_parquet}[
        name
    ](path)
    assert about(path) in (3, 4)  # a line of names may count
    path.write_bytes(b"PAR1 no")
    if name == "r.parquet":
        with pytest.raises(rasterc.InputError, match="cannot read the rows"):
            about(path)
