"""Charges of strokes in their neighbourhood."""

from dataclasses import replace

import numpy as np
import pytest

import rasterc.head.solve as solve_module
from rasterc.head.flight import fly
from rasterc.head.plan import Throw, throw_of
from rasterc.head.solve import Neighbourhood, StrokeSolver

ALL = 0b11111


@pytest.fixture(scope="module")
def throw():
    return Throw((4, 3, 2, 1, 0), stroke_gap_drops=2)


@pytest.fixture(scope="module")
def solver(heads, throw):
    return StrokeSolver(heads[40], throw)


def landed(head, throw, near, solved, wake=0.25):
    """Landings of the current stroke when all three carry the charges solved for them."""
    length = throw.rise_slots + 1
    starts = np.cumsum([0, length + near.slots_before, length + near.slots_after])
    drops = np.zeros(starts[2] + length)
    for start, charges in zip(starts, solved, strict=True):
        for row, slot in enumerate(throw.row_slots):
            drops[start + slot] = charges[row]
    return fly(head, drops, wake=wake).y_m[0, starts[1] + np.array(throw.row_slots)]


def test_every_pattern_of_a_stroke_is_solved(solver):
    near = [Neighbourhood(ALL, column, ALL, 2, 2) for column in range(32)]
    for column, one in zip(range(32), solver.solve(near).values(), strict=True):
        assert one.solved
        assert [bool(c) for c in one.charges_c] == [bool(column >> r & 1) for r in range(5)]
        assert np.all(one.charges_c >= 0)


@pytest.mark.parametrize("column", [0b10101, 0b00001, 0b11110])
def test_a_lone_stroke_lands_on_its_rows(heads, throw, solver, column):
    near = Neighbourhood(0, column, 0, 2, 2)
    charges = solver.solve([near])[near].charges_c
    nothing = np.zeros(5)
    y_m = landed(heads[40], throw, near, (nothing, charges, nothing))
    printed = np.array([bool(column >> r & 1) for r in range(5)])
    rows_m = np.array([heads[40].row_m(r) for r in range(5)])
    assert np.abs(y_m - rows_m)[printed].max() < 0.3e-6


def test_charges_for_the_neighbourhood_beat_those_of_a_lone_stroke(heads, throw, solver):
    near = Neighbourhood(ALL, ALL, ALL, 2, 2)
    alone = Neighbourhood(0, ALL, 0, 2, 2)
    rows_m = np.array([heads[40].row_m(r) for r in range(5)])
    found = solver.solve([near, alone])
    misses = []
    for charges in (found[near].charges_c, found[alone].charges_c):
        y_m = landed(heads[40], throw, near, (charges, charges, charges))
        misses.append(np.abs(y_m - rows_m).max())
    assert misses[0] < 12e-6 < misses[1]


def test_neighbours_out_of_reach_are_no_neighbours(solver):
    far = Neighbourhood(ALL, ALL, ALL, 500, 600)
    alone = Neighbourhood(0, ALL, 0, 2, 2)
    found = solver.solve([far, alone])
    assert np.array_equal(found[far].charges_c, found[alone].charges_c)


def test_neighbours_just_in_reach_hardly_matter(solver):
    # the limit of a wide gap is a lone stroke: under 1 % of charge at the reach
    near = Neighbourhood(ALL, ALL, ALL, 40, 40)
    alone = Neighbourhood(0, ALL, 0, 2, 2)
    found = solver.solve([near, alone])
    assert found[near].charges_c == pytest.approx(found[alone].charges_c, rel=0.01)


def test_what_is_known_is_not_flown_again(solver, monkeypatch):
    near = [Neighbourhood(ALL, 3, 0, 2, 2), Neighbourhood(0, 3, ALL, 2, 2)]
    first = solver.solve(near)
    monkeypatch.setattr(solve_module, "fly", None)
    again = solver.solve(near)
    assert all(again[n] is first[n] for n in near)


def test_a_solution_does_not_depend_on_what_was_solved_before(heads, throw, solver):
    near = Neighbourhood(5, 9, 17, 3, 2)
    fresh = StrokeSolver(heads[40], throw).solve([near])[near]
    assert fresh.charges_c == pytest.approx(solver.solve([near])[near].charges_c, rel=1e-9)


def test_guard_drops_and_firing_orders_are_solved(heads, profiles):
    for order in (None, (0, 3, 6, 1, 4, 7, 2, 5, 8)):
        throw = throw_of(profiles[40].raster(9), order)
        near = Neighbourhood(0b101010101, 0b111111111, 0b000011111, 3, 3)
        assert StrokeSolver(heads[40], throw).solve([near])[near].solved


def test_what_cannot_be_solved_is_said(heads, throw):
    # air so thick that drops stop on their way
    hopeless = replace(heads[40], air_viscosity_pa_s=1e-3)
    near = Neighbourhood(0, ALL, 0, 2, 2)
    assert not StrokeSolver(hopeless, throw).solve([near])[near].solved
