"""Blocks against `resolve` and the layout, row by row."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from msgspec import structs

from rasterc.batch.columns import Kept, merged, of_texts
from rasterc.batch.digits import numerals
from rasterc.batch.machines import checked, machine_of
from rasterc.batch.rows import Rows
from rasterc.fonts.model import Font, Glyph
from rasterc.profile.load import load_profile
from rasterc.source.declarations import DIGITS_36
from rasterc.values.given.check_characters import ALGORITHMS

SHARED = Path(__file__).parents[2] / "shared"
PROFILE = load_profile(SHARED / "profiles" / "bottle-16.toml")
STYLES = (
    "", "align right", "align center bold 2", "wide 3", "wide 4 spacing 3", "fixed", "inverse",
    "tower", "tower inverse", "inverse wide 2 spacing 1 align right",
)  # fmt: skip
PIECES = (
    "lot",
    "case lot",
    "lot case",
    '"A" lot "."',
    'lot lot " "',
    '"." ',
    '""',
    "case(000) lot",
)


@settings(max_examples=80, deadline=None)
@given(data=st.data())
def test_same_as_resolve_and_strokes(made, data):
    code = made.load(data.draw(made.messages()))
    compiler = made.compiler(code)
    for _ in range(2):  # what is kept from block to block must not show
        rows = data.draw(made.values(code))
        made.hold(code, rows, compiler.block(rows))


@pytest.mark.parametrize("name", ALGORITHMS)
@given(data=st.data())
def test_every_check_algorithm_has_its_machine(name, data):
    algorithm = ALGORITHMS[name]
    machine = machine_of(algorithm)
    columns = data.draw(
        st.lists(
            st.lists(st.text(algorithm.alphabet, max_size=12), min_size=5, max_size=5),
            min_size=1,
            max_size=3,
        )
    )
    whole = ["".join(parts) for parts in zip(*columns, strict=True)]
    wanted = [algorithm.compute(text) if text else None for text in whole]
    assert checked(machine, [of_texts(texts) for texts in columns], 5).listed(5) == wanted
    foreign = [of_texts(["0A"[n % 2] + "é" for n in range(5)])]
    assert checked(machine, foreign, 5).listed(5) == [None] * 5


@given(
    base=st.integers(2, 36),
    numbers=st.lists(st.integers(0, 10**18), min_size=1, max_size=5),
    width=st.integers(0, 20),
    blanks=st.booleans(),
)
def test_numerals_are_what_numpy_writes(base, numbers, width, blanks):
    fill = " " if blanks else "0"
    columns = numerals(np.array(numbers), Kept(), DIGITS_36[:base], width, fill)
    texts = merged(columns, len(numbers)).listed(len(numbers))
    assert texts == [np.base_repr(number, base).rjust(width, fill) for number in numbers]


@pytest.fixture(scope="session")
def plant(tmp_path_factory):
    """A folder with a picture, and a font whose glyphs are empty, narrow and wide."""
    folder = tmp_path_factory.mktemp("plant")
    (folder / "mark.pbm").write_text("P1\n5 7\n" + "1 0 1 1 0\n" * 7)
    font = Font(
        "odd", 5, 0, 1,
        {char: Glyph(char, tuple(range(1, width + 1)))
         for char, width in zip("A1023. L", (4, 1, 3, 2, 5, 0, 0, 3), strict=True)},
    )  # fmt: skip
    return folder, font


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    data=st.data(),
    styles=st.lists(st.sampled_from(STYLES), min_size=2, max_size=2),
    pieces=st.lists(st.sampled_from(PIECES), min_size=2, max_size=2),
    turned=st.tuples(st.booleans(), st.booleans()),
    picture=st.sampled_from(["", 'block { picture "mark.pbm" row 3 inverse }']),
)
def test_odd_fonts_pictures_and_turned_codes(made, plant, data, styles, pieces, turned, picture):
    folder, font = plant
    lines = "\n".join(f"line {s}: {p}" for s, p in zip(styles, pieces, strict=True))
    text = f"""message m {{ raster 16 font upright-5
      input lot length 0 to 5, default ""  counter case from 1 to 999
      block {{ {lines} }} {picture} block {{ line: case }} }}"""
    code = made.load(text, folder=folder)
    code = replace(code, fonts={"upright-5": font})
    line = structs.replace(PROFILE.line, upside_down=turned[0], mirrored=turned[1])
    profile = structs.replace(PROFILE, line=line)
    count = data.draw(st.integers(1, 9))
    texts = data.draw(st.lists(st.text("A102. L9", max_size=5), min_size=count, max_size=count))
    numbers = np.array(data.draw(st.lists(st.integers(1, 330), min_size=count, max_size=count)))
    rows = Rows(np.arange(1, count + 1), None, {"case": numbers}, {"lot": of_texts(texts)})
    made.hold(code, rows, made.compiler(code, profile).block(rows), profile)


def test_more_different_texts_than_a_table_holds(made):
    code = made.load(
        'message m { raster 7 font upright-7 input lot length 1 to 9 block { line: lot "-" lot } }'
    )
    texts = [f"Q{n % 977}{'X' * (n % 5)}" for n in range(1200)] + ["\u4e2d"]
    rows = Rows(np.arange(1, 1202), None, {}, {"lot": of_texts(texts)})
    block = made.compiler(code).block(rows)
    assert made.hold(code, rows, block) == 1200
    assert block.one_by_one == 0


def test_what_the_fast_way_takes(made):
    """Of the messages tried above, most rows are told by columns."""
    code = made.load((SHARED / "messages" / "best-before.rasterc").read_text("utf-8"))
    rows = Rows(np.arange(1, 101), np.arange(100) * 10**9, {"case": np.arange(1, 101)})
    block = made.compiler(code).block(rows)
    assert len(block) == 100
    assert block.one_by_one == 0
