"""Codes planted twice are found, whatever part they lie in; nothing else is."""

import random
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rasterc.batch.columns import of_texts
from rasterc.batch.hashing import hashes_of

MESSAGE = """message m { raster 16 font upright-5
  input lot length 0 to 40
  input mark length 0 to 3, default ""
  block { line: lot  line: mark } }"""


@pytest.fixture
def rows(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("m.rasterc").write_text(MESSAGE)

    def write(lots):
        Path("r.csv").write_text("lot\r\n" + "".join(f"{lot}\r\n" for lot in lots))

    return write


@pytest.mark.parametrize("seed", range(4))
def test_planted_repeats_are_found(program, rows, seed):
    rng = random.Random(seed)
    lots = [f"Q{n:07}{rng.randrange(10**6)}" for n in range(20_000)]
    planted = rng.sample(range(20_000), 6)
    for first, again in zip(planted[::2], planted[1::2], strict=True):
        lots[max(first, again)] = lots[min(first, again)]
    rows(lots)
    ended = program(
        "batch", "m.rasterc", "--rows", "r.csv", "--out", "x.strokes", "--part-rows", 8192, code=1
    )
    for first, again in zip(planted[::2], planted[1::2], strict=True):
        low, high = sorted((first + 1, again + 1))
        within = low // 8192 == high // 8192
        assert (
            within
            or f"rows {low:,} and {high:,} print the same" in ended.said
            or (
                "print the same" in ended.said  # a part that repeats within itself ends the search
            )
        )
    assert sorted(path.name for path in Path().iterdir()) == ["m.rasterc", "r.csv"]
    program(
        "batch", "m.rasterc", "--rows", "r.csv", "--out", "x.strokes", "--allow-repeats", code=0
    )


def test_repeats_across_parts_are_found_all(program, rows):
    lots = [f"Q{n}" for n in range(30_000)]
    pairs = [(5, 9000), (8191, 8192), (17_000, 29_999), (6, 16_384), (9000, 20_000)]
    for first, again in pairs:
        lots[again] = lots[first]
    rows(lots)
    ended = program(
        "batch", "m.rasterc", "--rows", "r.csv", "--out", "x.csv", "--part-rows", 8192, code=1
    )
    found = {(6, 9001), (8192, 8193), (17_001, 30_000), (7, 16_385), (6, 20_001)}
    for first, again in found:
        assert f"rows {first:,} and {again:,} print the same" in ended.said
    assert ended.said.count("print the same") == len(found)


def test_none_is_found_where_none_is(program, rows):
    rows([f"Q{n}" for n in range(20_000)])
    said = program("batch", "m.rasterc", "--rows", "r.csv", "--out", "x.csv", "--part-rows", 8192)
    assert "all were compared" in said.out


@given(
    st.lists(
        st.tuples(st.text("AB\x00é", max_size=12), st.text("AB", max_size=3)),
        min_size=1,
        max_size=30,
    )
)
def test_equal_codes_have_equal_hashes(codes):
    words = [(of_texts([code[line] for code in codes]),) for line in (0, 1)]
    hashes = hashes_of(words, len(codes)).tolist()
    assert len(set(hashes)) == len(set(codes))  # 64 bits: others collide less than once in 10^16
    alone = [int(hashes_of([(of_texts([text]),) for text in code], 1)[0]) for code in codes]
    assert alone == hashes


def test_colliding_hashes_are_compared():
    from rasterc.batch.repeats import compared, within

    records = np.array([(5, 1), (5, 2), (5, 9), (7, 3)], [("hash", "<u8"), ("row", "<i8")])
    texts = {1: ("A",), 2: ("B",), 9: ("A",), 3: ("C",)}
    [repeat] = compared(within(records), lambda rows: texts)
    assert (repeat.first, repeat.again, repeat.lines) == (1, 9, ("A",))


@pytest.mark.parametrize("suffix", [".csv", ".jsonl", ".parquet"])
@pytest.mark.parametrize("parts", [(), ("--parts",)], ids=["whole", "parts"])
def test_codes_of_earlier_batches_are_found(program, rows, suffix, parts):
    old, new = [f"A{n:05}" for n in range(10_000)], [f"B{n:05}" for n in range(10_000)]
    rows(old)
    first = ("batch", "m.rasterc", "--rows", "r.csv", "--out", f"old{suffix}")
    program(*first, "--part-rows", 8192, *parts)
    rows(new)
    again = ("batch", "m.rasterc", "--rows", "r.csv", "--out", "new.csv")
    known = ("--not-in", f"old{suffix}.manifest.json")
    assert "all were compared" in program(*again, *known).out
    Path("new.csv").unlink()
    new[7] = old[9_000]
    rows(new)
    program(*again)
    Path("new.csv").unlink()
    said = program(*again, *known, code=1).said
    assert f'row 8 prints what row 9,001 of old{suffix} printed: "A09000 / "' in said
    assert not list(Path().glob("new.csv*/"))
    assert not Path("new.csv").exists()


def test_what_is_no_earlier_batch_is_refused(program, rows):
    rows(["A"])
    ours = ("batch", "m.rasterc", "--rows", "r.csv", "--out", "x.csv")
    assert "no manifest of a batch" in program(*ours, "--not-in", "r.csv", code=2).said
    program("batch", "m.rasterc", "--rows", "r.csv", "--out", "x.npz")
    told = program(*ours, "--not-in", "x.npz.manifest.json", code=2).said
    assert "cannot be read back from .npz" in told
