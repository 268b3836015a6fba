"""Diagrams of flights: every flight is in them."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from rasterc.output.flights.plots import bin_edges

VALUES = st.floats(-100, 100, allow_nan=False)


@given(st.lists(VALUES, min_size=1, max_size=50), st.lists(VALUES, max_size=2))
def test_every_flight_is_in_a_bar(values, limits):
    # numpy counts what lies between the outer edges, as the diagram does
    counts, _ = np.histogram(values, bins=bin_edges([*values, *limits]))
    assert counts.sum() == len(values)
