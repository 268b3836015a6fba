"""What a message over a product table costs by the rows of the table, in processor time.

Prints a table for DEVELOPERS.md. Peers, in the same run: `csv` reading the same file into dicts,
and every row resolved once. Rows differ in name, weight and 30 shelf lives, drawn from a seed.
"""

from __future__ import annotations

import csv
import random
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from rasterc import load
from rasterc.source.load import read_messages

WORDS = [
    "RED",
    "GREEN",
    "SOUR",
    "SWEET",
    "DARK",
    "MILK",
    "RYE",
    "OAT",
    "APPLE",
    "PLUM",
    "CHERRY",
    "BREAD",
    "CAKE",
    "SOUP",
    "TEA",
    "JAM",
]
LIVES = [*range(5, 35, 3), *range(40, 240, 20), *range(300, 1300, 100)]
MESSAGE = """
message shelf-lives {
  raster 16
  font upright-7
  clock packed in "Europe/Dublin"
  clock best = packed + products.life days
  input sku
  table products from "products.csv" by sku
  block {
    line: products.name " " sku
    line: best(dd.MM.yyyy) " " packed(HH:mm) " " products.pack
  }
  require characters <= 80
}
"""
SIZES = (1_000, 10_000, 100_000)


def write(folder: Path, rows: int) -> Path:
    """A message and its table."""
    draw = random.Random(rows)
    lines = ["sku,name,life,pack"]
    for number in range(rows):
        name = " ".join(draw.choices(WORDS, k=draw.randint(1, 3)))
        lines.append(f"{100_000 + number},{name},{draw.choice(LIVES)},{draw.randint(50, 2000)} g")
    (folder / "products.csv").write_text("\n".join(lines) + "\n", "utf-8")
    (folder / "m.rasterc").write_text(MESSAGE, "utf-8")
    return folder / "m.rasterc"


def took(work: Callable[[], object]) -> float:
    """Seconds of processor time."""
    begin = time.process_time()
    work()
    return time.process_time() - begin


def as_dicts(path: Path) -> list[dict[str, str]]:
    """The peer of reading."""
    with path.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def row(rows: int) -> str:
    """The figures for a table of so many rows."""
    with tempfile.TemporaryDirectory() as name:
        path = write(Path(name), rows)
        read = took(lambda: read_messages(path))
        peer = took(lambda: as_dicts(path.with_name("products.csv")))
        code = load(path)
        start = "2027-01-01 00:00"
        measures = ["longest", "shortest", "most-drops", "fewest-drops"]
        checked = took(lambda: code.check_all(start, 1))
        extremes = took(lambda: code.extremes(start, 3, measures=measures))
        repeats = took(lambda: code.repeats(start, 10))
        lines = code.resolve(start, inputs={"sku": "100005"}).lines
        traced = took(lambda: code.trace(lines, start, 3))
        sample = range(100_000, 100_000 + min(rows, 1_000))
        each = took(lambda: [code.resolve(start, inputs={"sku": str(k)}) for k in sample])
    figures = (read, peer, checked, extremes, repeats, traced, each / len(sample) * rows)
    return f"| {rows:,} | " + " | ".join(f"{seconds:.2f}" for seconds in figures) + " |"


if __name__ == "__main__":
    print("| rows | read | csv into dicts | check --all | extremes | repeats | trace | resolved |")
    print("| --- | --- | --- | --- | --- | --- | --- | --- |")
    for size in map(int, sys.argv[1:] or SIZES):
        print(row(size), flush=True)
