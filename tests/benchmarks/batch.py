"""Batches against named peers, all measured in one run: `python tests/benchmarks/batch.py`.

Prints Markdown tables. Times are of processor, of the best of several runs; ratios are what
matters. An argument says how many thousand rows.
"""

from __future__ import annotations

import json
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path

import run
from stopwatch import best_s

import rasterc
from rasterc.batch.api import counted
from rasterc.batch.block import Block
from rasterc.batch.compiler import Compiler
from rasterc.batch.job import run_job
from rasterc.batch.kinds import kind_of
from rasterc.batch.pace import Pace
from rasterc.batch.parts import BLOCK, Order, compiled
from rasterc.batch.pool import in_pool
from rasterc.batch.rows import micros_of
from rasterc.batch.setup import setup_of
from rasterc.batch.source import Counted
from rasterc.batch.work import Job, in_process

START = micros_of(datetime(2027, 11, 25, 14, 5, tzinfo=UTC))
ROWS = 1000 * int(sys.argv[1] if len(sys.argv) > 1 else 40)
GENERAL = """message general { raster 16 font upright-7
  clock packed in "Europe/Dublin", day from 06:00
  clock best = packed + 9 months to month end
  shift crew of packed { "A" from 06:00 "B" from 14:00 "C" from 22:00 }
  counter case from 1 to 99999999, restart daily of packed
  table month from 1, letters "ABCDEFGHJKLM"
  check digit = gs1-mod10 of packed(yyDDD) case(00000000)
  block { line: "BEST BEFORE " best(dd MMM yyyy, upper)
          line align center: "L" packed(yyDDD) crew packed(HH:mm:ss) " " case(00000000) digit } }"""
PLAIN = """message plain { raster 16 font upright-7 counter case from 1 to 99999999
  block { line: "BEST BEFORE 25.11.28"  line: "L27329 " case(00000000) } }"""
CHECKED = """message checked { raster 7 font upright-7 counter case from 1 to 99999999
  check proof = iso7064-mod37-36 of "A1" case(00000000) block { line: case(00000000) proof } }"""
OPTIONS = """message options { raster 7 font upright-7 counter case from 1 to 99999999
  block { line: case(00000000, last 4) case(00000000, first 5) } }"""


def source_of(code: rasterc.Code, rows: int) -> Counted:
    """Rows of a message, four a second."""
    return counted(code.plan, rows, Pace(START, Fraction(240_000)), {}, {})


def blocks_of(code: rasterc.Code, rows: int) -> list[Block]:
    """The blocks of a message."""
    compiler = Compiler(code.plan, code.fonts, code.composer)
    return [compiled(compiler, told) for told in source_of(code, rows).told(0, BLOCK)]


def per_second(work: Callable[[], object], rows: int, repeat: int = 3) -> float:
    """Rows a second of processor time."""
    return rows / best_s(work, repeat, clock=time.process_time)


def compiling(code: rasterc.Code, rows: int = ROWS) -> float:
    """Rows compiled a second, given back one block after another."""
    compiler = Compiler(code.plan, code.fonts, code.composer)
    source = source_of(code, rows)

    def work() -> None:
        for told in source.told(0, BLOCK):
            compiled(compiler, told)

    return per_second(work, rows)


def api_loop(code: rasterc.Code, rows: int = 2000) -> float:
    """The peer: one row after another by the API."""
    source = source_of(code, rows).rows(0, rows)

    def work() -> None:
        for row in range(rows):
            code.resolve_at(source.instant(row)).strokes()

    return per_second(work, rows)


def given_texts(code: rasterc.Code, rows: int) -> list[list[str]]:
    """The texts of each line, by row."""
    lines: list[list[str]] = [[] for _ in code.message.lines]
    for block in blocks_of(code, rows):
        for number, line in enumerate(lines):
            line += block.texts(number)
    return lines


def tight_join(code: rasterc.Code, rows: int) -> float:
    """The peer: the texts are given, each line is one join of its characters' bytes."""
    font, texts = next(iter(code.fonts.values())), given_texts(code, rows)
    levels = [0] if len(texts) == 1 else [9, 0]
    glyphs = [
        {c: b"".join((x << up).to_bytes(2, "little") for x in (*g.columns, 0)) for c, g in
         font.glyphs.items()} for up in levels
    ]  # fmt: skip

    def work() -> None:
        for row in zip(*texts, strict=True):
            whole = 0
            for text, glyph in zip(row, glyphs, strict=True):
                whole |= int.from_bytes(b"".join([glyph[c] for c in text]), "little")

    def one_line() -> None:
        [glyph] = glyphs
        for text in texts[0]:
            b"".join([glyph[c] for c in text])

    return per_second(one_line if len(texts) == 1 else work, rows)


def glyph_loop(code: rasterc.Code, rows: int) -> float:
    """The peer of `run`: strokes of glyphs as numbers, in a plain loop, the texts given."""
    texts = given_texts(code, rows)

    def work() -> None:
        for lines in zip(*texts, strict=True):
            run.glyph_loop(code, lines)

    return per_second(work, rows)


def only_written(code: rasterc.Code, rows: int) -> float:
    """The peer: as many bytes, made before, written to a file."""
    data = [block.strokes.data.tobytes() for block in blocks_of(code, rows)]
    with tempfile.TemporaryFile() as file:

        def work() -> None:
            file.seek(0)
            for piece in data:
                file.write(piece)

        return per_second(work, rows, 5)


def raw_written(code: rasterc.Code, rows: int) -> float:
    """Ours: compiled, and written to a file."""
    compiler, source = Compiler(code.plan, code.fonts, code.composer), source_of(code, rows)
    with tempfile.TemporaryFile() as file:

        def work() -> None:
            file.seek(0)
            for told in source.told(0, BLOCK):
                file.write(compiled(compiler, told).strokes.data)

        return per_second(work, rows, 5)


def written(code: rasterc.Code, suffix: str, rows: int) -> float:
    """Rows a second from values to the bytes of an output."""
    compiler, source, kind = (
        Compiler(code.plan, code.fonts, code.composer),
        source_of(code, rows),
        kind_of(suffix),
    )

    def work() -> None:
        kind.part([compiled(compiler, told) for told in source.told(0, BLOCK)], True)

    return per_second(work, rows)


def json_dumps(code: rasterc.Code, rows: int) -> float:
    """The peer: the same rows by json.dumps, everything given."""
    blocks = blocks_of(code, rows)
    texts = given_texts(code, rows)
    strokes = [b.strokes[n].astype(">u2").tobytes().hex() for b in blocks for n in range(len(b))]
    lines = list(zip(*texts, strokes, strict=True))

    def work() -> None:
        for number, row in enumerate(lines):
            json.dumps({"row": number, "case": number, "lines": row[:-1], "strokes": row[-1]})

    return per_second(work, rows)


def compared(code: rasterc.Code, rows: int) -> float:
    """Rows a second of which repeats are looked for, compiling left out."""
    from rasterc.batch.parts import _hashed

    blocks = blocks_of(code, rows)
    return per_second(lambda: _hashed(blocks), rows)


def python_set(code: rasterc.Code, rows: int) -> float:
    """The peer: a set of the rows' texts, given."""
    texts = list(zip(*given_texts(code, rows), strict=True))

    def work() -> None:
        seen = set()
        for text in texts:
            seen.add(text)

    return per_second(work, rows)


def whole_job(code: rasterc.Code, rows: int, workers: int) -> float:
    """Rows a second of a whole batch, by the clock on the wall."""
    setup = setup_of(code.message, code.fonts, code.composer, None)
    source = source_of(code, rows)
    with tempfile.TemporaryDirectory() as folder:
        runner = in_process if workers == 1 else in_pool(workers)
        order = Order(setup, ".strokes", True, False, source)
        job = Job(order, source, Path(folder) / "x.strokes", {}, 1 << 17, "proved", runner=runner)
        start = time.perf_counter()
        assert run_job(job).rows == rows
        return rows / (time.perf_counter() - start)


def table(title: Sequence[str], rows: Sequence[Sequence[object]]) -> None:
    """A Markdown table."""
    print(f"\n| {' | '.join(title)} |")
    print("|" + " --- |" * len(title))
    for row in rows:
        print(f"| {' | '.join(map(str, row))} |")


def ratio(work: str, ours: float, peer: str, theirs: float, target: str) -> list[object]:
    """A row of the table of peers."""
    return [work, f"{ours / 1e6:.3g}", peer, f"{theirs / 1e6:.3g}", f"{ours / theirs:.2f}", target]


def main() -> None:
    """Measure everything and print the tables."""
    general, plain = rasterc.load_text(GENERAL), rasterc.load_text(PLAIN)
    fast, parquet = compiling(general), written(general, ".parquet", ROWS)
    few = min(ROWS, 20_000)
    rows = [
        ratio("general plan to strokes", fast, "API, row by row", api_loop(general), "80x"),
        ratio("the same", fast, "tight join, texts given", tight_join(general, few), "4x"),
        ratio("the same", fast, "glyph loop, texts given", glyph_loop(general, few), "40x"),
        ratio("plain serial", compiling(plain), "tight join", tight_join(plain, few), "17x"),
        ratio("plain serial, written", raw_written(plain, ROWS), "only written",
              only_written(plain, ROWS), "1/6, then 0.6"),
        ratio("Parquet, end to end", parquet, "compiling alone", fast, "0.5"),
        ratio("JSON lines, end to end", written(general, ".jsonl", few), "json.dumps, all given",
              json_dumps(general, few), "8x"),
        ratio("repeats looked for", compared(general, ROWS), "Python set, texts given",
              python_set(general, ROWS), "1.5x"),
    ]  # fmt: skip
    table(["work", "M rows/s", "peer", "M rows/s", "ratio", "target"], rows)
    kinds = {"general": GENERAL, "plain serial": PLAIN, "check": CHECKED, "cut": OPTIONS}
    sizes = [size for size in (10**4, 10**5, 10**6, 10**7) if size <= ROWS]
    codes = {name: rasterc.load_text(text) for name, text in kinds.items()}
    table(
        ["M rows/s compiled", *(f"{size:,}" for size in sizes)],
        [
            [name, *(f"{compiling(c, size) / 1e6:.2f}" for size in sizes)]
            for name, c in codes.items()
        ],
    )
    suffixes = (".strokes", ".parquet", ".jsonl", ".csv", ".npz")
    outputs = [[suffix, f"{written(general, suffix, ROWS) / 1e6:.2f}"] for suffix in suffixes]
    table(["output, general plan", "M rows/s, end to end"], outputs)
    one, two = (whole_job(plain, 20 * ROWS, workers) for workers in (1, 2))
    print(f"\ntwo workers against one, on the wall: {two / one:.2f} (target 1.5)")


if __name__ == "__main__":
    main()
