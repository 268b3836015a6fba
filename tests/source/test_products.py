"""Product tables as they are read: CSV by RFC 4180, every fault at its line and column."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rasterc import InputError, load
from rasterc.diagnostics import SourceText
from rasterc.source.formatting.format import format_text
from rasterc.source.products.places import records
from rasterc.source.products.reading import MAX_COLUMNS, MAX_ROWS, read_sheet

MESSAGE = """
message m {
  raster 16
  font upright-7
  input sku
  table products from "products.csv" by sku%s
  block {
    line: products.name " " sku
    line: products."pack size"(upper)
  }
}
"""
GOOD = 'sku,name,pack size,life\nA1,"Apple, red",1 kg,10\nB22,Beet,500 g,30\n'


@pytest.fixture
def message(tmp_path):
    """Loads the message beside a table of these bytes."""

    def loaded(table: str | bytes, more: str = "", text: str = MESSAGE):
        data = table if isinstance(table, bytes) else table.encode()
        (tmp_path / "products.csv").write_bytes(data)
        (tmp_path / "m.rasterc").write_text(text.replace("%s", more), "utf-8")
        return load(tmp_path / "m.rasterc")

    return loaded


def faults(message, table: str | bytes, more: str = "", text: str = MESSAGE) -> list[str]:
    with pytest.raises(InputError) as caught:
        message(table, more, text)
    found = caught.value.diagnostics
    places = [f.span for f in found]
    names = [Path(place.source.name).name for place in places]
    return [
        f"{name}:{place.line}:{place.column} {fault.message}"
        for name, place, fault in zip(names, places, found, strict=True)
    ]


@pytest.mark.parametrize(
    ("table", "more"),
    [
        (GOOD, ""),
        ("\ufeff" + GOOD, ""),
        (GOOD.replace("\n", "\r\n"), ""),
        (GOOD.replace("\n", "\r"), ""),
        (GOOD.rstrip("\n"), ""),
        (GOOD.replace("\n", "\n\n"), ""),
        (GOOD.replace(",", ";").replace("Apple;", "Apple,"), ', separated by ";"'),
        (GOOD.replace(",", "\t").replace("Apple\t", "Apple,"), ", separated by tab"),
        (GOOD.replace("sku", "Article no"), ', key "Article no"'),
        (GOOD.replace("life", "note").replace("10", '"two\r\nlines, ""quoted"""'), ""),
        (GOOD.replace("Beet", "Be\u0301et").replace("Be\u0301et", "Beet"), ""),
    ],
    ids=["plain", "bom", "crlf", "cr", "no-end", "blank-lines", "semicolon", "tab", "key",
         "line-break-unused", "composed"],
)  # fmt: skip
def test_tables_that_are_read(message, table, more):
    code = message(table, more)
    assert code.resolve(inputs={"sku": "A1"}).lines == ("Apple, red A1", "1 KG")
    assert code.resolve(inputs={"sku": "B22"}).lines == ("Beet B22", "500 G")


def test_cells_are_composed(message):
    code = message(GOOD.replace("Beet", "Cafe\u0301"))
    assert code.resolve(inputs={"sku": "B22"}).lines[0] == "Caf\u00e9 B22"


HEAD = "sku,name,pack size\n"
CASES = {
    "short-row": (HEAD + "A,B\n", "products.csv:2:4 this row has 2 cells, and the header 3"),
    "long-row": (HEAD + "A,B,C,D\n", "products.csv:2:7 this row has 4 cells, and the header 3"),
    "behind-a-line-break": (
        'sku,name,pack size,x\nA,B,C,"1\n2\n3"\nC,D\n',
        "products.csv:5:4 this row has 2 cells, and the header 4",
    ),
    "duplicate": (HEAD + "A,B,C\nD,E,F\nA,G,H\n", 'products.csv:4:1 the key "A" stands twice'),
    "empty-key": (HEAD + "A,B,C\n,E,F\n", "products.csv:3:1 this row has no key"),
    "blank-key": (HEAD + "A ,B,C\n", "products.csv:2:1 this key has blanks at its ends"),
    "header-twice": (HEAD + "A,B,C\n" + HEAD, "products.csv:3:1 the header stands here again"),
    "column-twice": (
        "sku,name,pack size,name\nA,B,C,D\n",
        'products.csv:1:20 there are two columns "name"',
    ),
    "nameless": ("sku,name,pack size,\nA,B,C,D\n", "products.csv:1:20 column 4 has no name"),
    "line-break": (
        HEAD + 'A,"B\nC",D\n',
        "products.csv:2:3 this text holds a line break, which cannot be printed",
    ),
    "tab": (HEAD + "A,B\tC,D\n", "products.csv:2:3 this text holds a tab, which cannot be printed"),
    "direction": (
        HEAD + "A,B\u202eC,D\n",
        "products.csv:2:3 this text holds U+202E, which cannot be printed",
    ),
    "nul": (HEAD + "A,B\0,C\n", "products.csv:2:4 this is not text: it holds the character U+0000"),
    "open-quote": (
        HEAD + 'A,B,C\nD,"E,F\nG,H,I\n',
        "products.csv:3:3 this cell is not written as CSV: its quotes do not close it, or it is "
        "too long",
    ),
    "after-quote": (
        HEAD + 'A,"B"x,C\n',
        "products.csv:2:3 this cell is not written as CSV: its quotes do not close it, or it is "
        "too long",
    ),
    "empty": ("", "products.csv:1:1 the table has no header"),
    "only-header": (HEAD, "products.csv:1:1 the table has a header and no rows"),
    "latin-1": (
        HEAD.encode() + b"A,\xe4,C\n",
        "m.rasterc:6:23 products.csv is not UTF-8 text (line 2)",
    ),
    "utf-16": (GOOD.encode("utf-16"), "m.rasterc:6:23 products.csv is not UTF-8 text (line 1)"),
    "columns": (
        ",".join(f"c{n}" for n in range(1_000_000)),
        f"products.csv:1:1 the table has 1,000,000 columns, more than {MAX_COLUMNS}",
    ),
    "long-text": (
        HEAD + f"A,{'B' * 1001},C\n",
        "products.csv:2:3 this text has 1,001 characters, more than 1,000",
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_what_is_wrong_with_a_table(message, case):
    table, wanted = CASES[case]
    assert faults(message, table) == [wanted]


def test_all_faults_are_told_of_together(message):
    table = HEAD + "A,B,C\nA,B,C\n,B,C\nD,E\n" + HEAD
    assert [line.split()[0] for line in faults(message, table)] == [
        "products.csv:3:1",
        "products.csv:4:1",
        "products.csv:5:4",
        "products.csv:6:1",
    ]


def test_many_faults_of_one_kind_are_counted(message):
    found = faults(message, HEAD + "A,B,C\n" * 5000)
    assert len(found) == 11
    assert found[-1].endswith("4,989 more keys stand twice, 4,999 in all")


def test_too_many_rows_are_refused():
    text = "a\n" + "1\n" * (MAX_ROWS + 1)
    sheet, found = read_sheet(SourceText("t", text), ",")
    assert sheet is None and "too many rows" in found[0].message


@pytest.mark.parametrize(
    ("change", "wanted"),
    [
        (("products.name", "products.nam"), 'products.csv has no column "nam"'),
        (("products.name", "product.name"), '"product" is not declared; a table is needed here'),
        (("products.name", "sku.name"), '"sku" is an input; a table is needed here'),
        (("products.name", "products"), '"products" is a table of products; a column of it'),
        (("by sku", "by lot"), '"lot" is not declared; an input or counter is needed here'),
        (("by sku", ""), 'expected "by" after "products.csv"'),
        (('"products.csv"', '"../products.csv"'), "lies outside the folder of the message"),
        (('"products.csv"', '"/products.csv"'), "the path is not relative"),
        (('"products.csv"', '"none.csv"'), "cannot read none.csv"),
        (("input sku", 'input sku one of "C"'), 'the choice "C" of input "sku" has no row'),
        (("input sku", 'input sku matching "A1"'), "its texts are the keys of the table"),
        (("by sku", 'by sku, key "Article"'), 'products.csv has no column "Article"'),
        (("by sku", 'by sku, separated by "x"'), "cells are separated by one character"),
        (("by sku", "by sku { 1 -> \"x\" }"), "is read from a file and has rows of its own"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_declaration(message, change, wanted):
    text = MESSAGE.replace(*change)
    assert any(wanted in line for line in faults(message, GOOD, text=text))


def test_an_input_takes_the_keys_alone(message):
    code = message(GOOD)
    assert code.message.inputs["sku"].choices == ("A1", "B22")
    with pytest.raises(InputError, match="none of the choices"):
        code.resolve(inputs={"sku": "A2"})


def test_a_counter_picks_rows_with_or_without_zeros(message):
    text = MESSAGE.replace("input sku", "counter sku from 1 to 2")
    code = message("sku,name,pack size\n01,ONE,a\n2,TWO,b\n", text=text)
    assert code.resolve(counters={"sku": 1}).lines == ("ONE 1", "A")
    assert code.resolve(counters={"sku": 2}).lines == ("TWO 2", "B")
    assert faults(message, "sku,name,pack size\n01,ONE,a\n1,TWO,b\n", text=text) == [
        'products.csv:3:1 the key "1" stands twice'
    ]


def test_the_choices_of_an_input_are_a_column(message):
    text = MESSAGE.replace("input sku", 'input sku\n  input pack one of products."pack size"')
    code = message(GOOD + "C,Corn,1 kg,3\n", text=text)
    assert code.message.inputs["pack"].choices == ("1 kg", "500 g")


def test_the_formatter_keeps_columns():
    text = MESSAGE.replace("%s", ', separated by ";", key "no"').replace("input sku", "input sku "
        "one of products.name\n clock best = 2027-01-01 + products.\"life time\" days")  # fmt: skip
    done = format_text(text)
    assert 'from "products.csv" by sku, key "no", separated by ";"' in done
    assert 'products."pack size"(upper)' in done
    assert 'clock best = 2027-01-01 + products."life time" days' in done
    assert format_text(done) == done


cells = st.text(alphabet='ab,;"\n \u00e9', max_size=6)


@given(
    st.lists(st.lists(cells, min_size=2, max_size=4), max_size=6),
    st.sampled_from([",", ";"]),
    st.sampled_from(["\n", "\r\n"]),
    st.sampled_from([csv.QUOTE_MINIMAL, csv.QUOTE_ALL]),
)
def test_places_are_those_of_the_cells_that_csv_reads(rows, delimiter, end, quoting):
    """Against Python's csv, which writes and reads the same texts and tells no places."""
    file = io.StringIO(newline="")
    csv.writer(file, delimiter=delimiter, lineterminator=end, quoting=quoting).writerows(rows)
    text = file.getvalue()
    read = [row for row in csv.reader(io.StringIO(text, newline=""), delimiter=delimiter) if row]
    assert read == rows
    seen = [[text[a:b] for a, b in places] for places in records(text, delimiter)]
    plain = [[c[1:-1].replace('""', '"') if c[:1] == '"' else c for c in row] for row in seen]
    assert plain == rows
