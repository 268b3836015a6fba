"""Blocks against `resolve` and the layout, row by row."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rasterc.batch.columns import Kept, merged, of_texts
from rasterc.batch.digits import numerals
from rasterc.batch.machines import checked, machine_of
from rasterc.source.declarations import DIGITS_36
from rasterc.values.given.check_characters import ALGORITHMS


@settings(max_examples=150, deadline=None)
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
