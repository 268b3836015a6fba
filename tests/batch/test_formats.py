"""Every output read back by another library, and held against `resolve` row by row."""

import csv
import json
import struct
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from pathlib import Path

import numpy as np
import polars as pl
import pytest

from rasterc import load

MESSAGE = """
message mixed {
  raster 16
  font upright-7
  clock packed in "Europe/Dublin", day from 06:00
  shift crew of packed { "A" from 06:00 "B,\\"x\\"" from 14:00 }
  counter case from 1 to 99999, step 2
  input lot one of "NA" "0001" "ÄÖ" "", default "NA"
  check digit = gs1-mod10 of case(00000)
  block {
    line align center: "L" packed(yyDDD) crew " " packed(HH:mm:ss) " " lot
    line bold 2: case(00000) digit
  }
}
"""
COUNT, START = 30, datetime(2027, 11, 25, 13, 59, 50, tzinfo=UTC)
FIRST = 99_940 - 1  # the last value is reached in the middle of the job


@pytest.fixture
def written(tmp_path, monkeypatch, program):
    monkeypatch.chdir(tmp_path)
    Path("m.rasterc").write_text(MESSAGE, encoding="utf-8")

    def write(suffix, *more, code=1, rows=COUNT, out="x"):
        return program(
            "batch", "m.rasterc", "--count", rows, "--out", f"{out}{suffix}", "--every", "0.75s",
            "--at", START.isoformat(), "--set", "lot=0001", "--set", f"case={FIRST}", *more,
            code=code,
        )  # fmt: skip

    return write


def wanted(count=31):
    """The rows by `resolve`: number, moment, case, lot, lines, strokes."""
    code = load("m.rasterc")
    for row in range(count):
        at = START + row * timedelta(seconds=0.75)
        printed = code.resolve(at, counters={"case": FIRST + 2 * row}, inputs={"lot": "0001"})
        yield row + 1, at, FIRST + 2 * row, "0001", printed.lines, printed.strokes().bits


def of_hex(text: str) -> tuple[int, ...]:
    return tuple(int(text[n : n + 4], 16) for n in range(0, len(text), 4))


def hold(rows):
    expected = list(wanted(COUNT))
    assert len(rows) == len(expected)
    for row, (number, at, case, lot, lines, bits) in zip(rows, expected, strict=True):
        assert row == (number, at, case, lot, *lines, bits)


PART_SIZES = pytest.mark.parametrize("part", [8192, 1 << 17])


def of_cells(row, at):
    cells = [row[f"line.{n}"] for n in (1, 2)]
    return (row["row"], at, row["counter.case"], row["input.lot"], *cells, of_hex(row["strokes"]))


@pytest.fixture
def many(written, monkeypatch):
    """Three parts of a few rows each."""
    from rasterc.cli.batch import asked

    def write(suffix, *more):
        monkeypatch.setattr(asked, "BLOCK", 8)
        written(suffix, "--part-rows", 16, *more, code=0)
        assert not Path(f"x{suffix}.parts").exists()

    return write


def test_csv(many):
    many(".csv")
    with Path("x.csv").open(encoding="utf-8", newline="") as file:
        read = list(csv.DictReader(file))
    assert [row["row"] for row in read] == [str(n + 1) for n in range(COUNT)]
    frame = pl.read_csv("x.csv", infer_schema=False)
    numbers = frame.with_columns(pl.col("row", "counter.case").cast(pl.Int64)).to_dicts()
    hold([of_cells(row, datetime.fromisoformat(row["at"])) for row in numbers])


@pytest.mark.parametrize("suffix", [".jsonl", ".ndjson"])
def test_json_lines(many, suffix):
    many(suffix)
    lines = Path(f"x{suffix}").read_text(encoding="utf-8").splitlines()
    hold([of_cells(r, datetime.fromisoformat(r["at"])) for r in map(json.loads, lines)])
    rows = pl.read_ndjson(f"x{suffix}").to_dicts()
    hold([of_cells(r, datetime.fromisoformat(r["at"])) for r in rows])


def test_parquet(many):
    many(".parquet")
    frame = pl.read_parquet("x.parquet")
    assert frame.schema["row"] == pl.Int64
    rows = []
    for row in frame.to_dicts():
        bits = tuple(np.frombuffer(row.pop("strokes"), "<u2").tolist())
        rows.append((*row.values(), bits))
    hold(rows)


def test_npz(many):
    many(".npz")
    with np.load("x.npz") as arrays:
        found = {name: arrays[name] for name in arrays.files}
    names = ("row", "counter.case", "input.lot", "line.1", "line.2")
    columns = [found[name].tolist() for name in names]
    at = [when.replace(tzinfo=UTC) for when in found["at"].tolist()]
    edges = found["offsets"].tolist()
    bits = [tuple(found["strokes"][a:b].tolist()) for a, b in pairwise(edges)]
    hold(list(zip(columns[0], at, *columns[1:], bits, strict=True)))


def test_raw_strokes(many):
    many(".strokes")
    strokes, index = Path("x.strokes").read_bytes(), Path("x.strokes.index").read_bytes()
    records = list(struct.iter_unpack("<QQ", index))
    begin = 0
    for (row, end), (number, *_, bits) in zip(records, wanted(COUNT), strict=True):
        assert row == number
        assert struct.unpack(f"<{end - begin}H", strokes[2 * begin : 2 * end]) == bits
        begin = end
    assert len(strokes) == 2 * begin


@pytest.mark.parametrize("suffix", [".csv", ".jsonl", ".parquet", ".npz", ".strokes"])
def test_parts_are_files_of_their_own(many, suffix):
    many(suffix, "--parts")
    names = sorted(path.name for path in Path(f"x{suffix}").iterdir())
    index = [".index"] if suffix == ".strokes" else []
    assert names == sorted(f"part-{n:06}{suffix}{e}" for n in range(2) for e in ["", *index])
    if suffix == ".parquet":
        assert pl.read_parquet("x.parquet/*.parquet")["row"].to_list() == [*range(1, COUNT + 1)]
    manifest = json.loads(Path(f"x{suffix}.manifest.json").read_bytes())
    assert [part["rows"] for part in manifest["parts"]] == [16, 14]


def test_a_counter_that_ends_ends_the_batch(written):
    ended = written(".csv", rows=50)
    assert "row 32 is not printed: counter case has ended" in ended.said
    assert Path("x.csv").read_text().count("\n") == 32
    assert json.loads(Path("x.csv.manifest.json").read_bytes())["stop"] == {
        "row": 32,
        "counter": "case",
    }
    written(".csv", "--strict", rows=50, out="y")
    assert not list(Path().glob("y*"))


@pytest.mark.parametrize("suffix", [".csv", ".jsonl", ".npz", ".strokes"])
def test_without_pyarrow(written, monkeypatch, suffix):
    import sys

    monkeypatch.setitem(sys.modules, "pyarrow", None)
    written(suffix, code=0)


def test_parquet_says_what_is_missing(written, monkeypatch):
    import sys

    monkeypatch.setitem(sys.modules, "pyarrow", None)
    assert 'pip install "rasterc[batch]"' in written(".parquet", code=2).said
    assert not list(Path().glob("x*"))
