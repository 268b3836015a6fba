"""Finding codes of messages over product tables, against every row on some days."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from rasterc import load
from rasterc.plant import folder_plant
from rasterc.search import find

ROWS = [
    ("K1", "RYE", "5", "en"), ("K2", "OAT", "5", "de"), ("K3", "OAT", "30", "fr"),
    ("K4", "PLUM", "400", "fi"), ("K5", "RYE", "30", "en"),
]  # fmt: skip
MESSAGE = """message goods {
  raster 16
  font upright-7
  clock packed in "Etc/UTC"
  clock best = packed + products.life days
  input sku
  table products from "products.csv" by sku
  block {
    line: products.name " " best(d MMMM yyyy, in products.language)
    line: packed(yyDDD)
  }
}
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    rows = "".join(",".join(row) + "\n" for row in ROWS)
    (tmp_path / "products.csv").write_text("sku,name,life,language\n" + rows)
    (tmp_path / "goods.rasterc").write_text(MESSAGE)
    return tmp_path


@pytest.mark.parametrize("days", [0, 100, 200, 300])
def test_each_row_is_found_by_what_it_prints(folder: Path, days: int):
    code = load(folder / "goods.rasterc")
    at = datetime(2027, 1, 20, 10, tzinfo=UTC) + timedelta(days)
    for key, *_ in ROWS:
        texts = code.resolve(at, inputs={"sku": key}).lines
        for some, parts in ((texts, False), (texts[:1], False), ((texts[0][2:-3], texts[1]), True)):
            [hit] = find(folder_plant(folder), some, at, parts=parts).hits
            found = [
                match.inputs["sku"]
                for match in hit.result.matches()
                if match.start is not None and match.until is not None
                if match.start <= at < match.until
            ]
            expected = {
                other
                for other, *_ in ROWS
                if all(
                    text in line if parts else text == line
                    for text, line in zip(
                        some, code.resolve(at, inputs={"sku": other}).lines, strict=False
                    )
                )
            }
            assert {one for keys in found for one in keys} == expected, (key, some)
