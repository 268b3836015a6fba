"""Charges of whole messages."""

from dataclasses import replace

import numpy as np
import pytest

from rasterc.head.flight import fly
from rasterc.head.plan import StrokePlan, Throw
from rasterc.head.solve import solve_charges, stroke_response
from rasterc.head.wake import WAKE_BAND
from rasterc.head.windows import CONTEXT_SLOTS, WindowFlyer, windows_of

ALL = 0b11111
LOW_FIRST = Throw((0, 1, 2, 3, 4), guard_drops=2, stroke_gap_drops=2)


def planned(columns, throw=LOW_FIRST, gap=0):
    starts = np.arange(len(columns)) * (throw.slots + gap)
    return StrokePlan(np.array(columns), starts, throw, 0.26, 0.5, 92e3)


def landed(head, plan, charges, wake):
    """How far the printed drops land from their rows, flown whole."""
    _, rows, slots = plan.printed()
    rows_m = np.array([head.row_m(row) for row in rows])
    return fly(head, charges, wake=wake).y_m[0, slots] - rows_m


@pytest.fixture(scope="module")
def mixed(heads):
    plan = planned([ALL, 0b10101, 0, 0b10001, 0b00110, ALL])
    return plan, solve_charges(heads["fine"], plan, WAKE_BAND)


def test_every_pattern_of_a_stroke_is_solved(heads):
    # all 2^5 of them, each between two full strokes, as one message
    columns = [column for one in range(32) for column in (ALL, one)]
    found = solve_charges(heads["fine"], planned(columns), [1.0])
    assert found.residual_m.max() < 2e-6
    assert (found.charges_c >= 0).all()


@pytest.mark.parametrize("which", range(3))
def test_a_message_lands_on_its_rows_under_each_wake(heads, mixed, which):
    plan, found = mixed
    off = landed(heads["fine"], plan, found.charges_c[which], WAKE_BAND[which])
    assert np.abs(off).max() < 0.6e-6


def test_only_printed_drops_are_charged(mixed):
    plan, found = mixed
    charged = np.zeros(plan.slots, dtype=bool)
    charged[plan.printed()[2]] = True
    assert np.array_equal(found.charges_c != 0, np.tile(charged, (3, 1)))


def test_charges_differ_between_wakes_and_between_neighbourhoods(heads, mixed):
    found = mixed[1]
    first = found.charges_c[:, : LOW_FIRST.rise_slots + 1]
    last = found.charges_c[:, -LOW_FIRST.rise_slots - 1 :]
    assert not np.allclose(first[0], first[2], rtol=1e-4, atol=0)  # by the wake
    assert not np.allclose(first[1], last[1], rtol=1e-4, atol=0)  # by what is near


def test_charges_for_the_message_beat_those_of_lone_drops(heads):
    plan = planned([ALL] * 3)
    alone = np.zeros((1, plan.slots))
    alone[0, plan.printed()[2]] = stroke_response(heads["fine"], LOW_FIRST).alone_c[
        plan.printed()[1]
    ]
    assert np.abs(landed(heads["fine"], plan, alone, 1.0)).max() > 20e-6


def test_a_solution_does_not_depend_on_what_else_is_said(heads):
    # two words far apart are two messages
    word = [ALL, 0b10001]
    apart = planned([*word, *[0] * 8, *word])
    found = solve_charges(heads["fine"], apart, [1.0]).charges_c[0]
    alone = solve_charges(heads["fine"], planned(word), [1.0]).charges_c[0]
    assert found[: len(alone)] == pytest.approx(alone, rel=1e-9)
    assert found[-len(alone) :] == pytest.approx(alone, rel=1e-9)


@pytest.mark.parametrize("order", [(4, 3, 2, 1, 0), (0, 2, 4, 1, 3)])
def test_other_firing_orders_are_solved(heads, order):
    throw = Throw(order, guard_drops=3, stroke_gap_drops=3)
    found = solve_charges(heads["fine"], planned([ALL, 0b10111, ALL], throw), [0.75])
    assert found.residual_m.max() < 2e-6


def test_what_cannot_be_solved_is_said(heads):
    # air so thick that drops stop on their way
    hopeless = replace(heads["fine"], air_viscosity_pa_s=1e-3)
    assert not np.isfinite(solve_charges(hopeless, planned([ALL]), [1.0]).residual_m).any()


def long_message(head, slots=900):
    rng = np.random.default_rng(8)
    charges = rng.uniform(0.06, 0.2, slots) * head.rayleigh_charge_c
    return np.where(np.arange(slots) % 3 == 0, charges, 0.0) * (rng.random(slots) < 0.6)


def test_windows_change_nothing_that_counts(heads):
    head = heads["fine"]
    charges = long_message(head)
    whole = fly(head, charges, follow=True)
    parts = WindowFlyer(head, head.throw_m, follow=True).fly(charges[None], [1.0])
    printed = charges != 0
    assert len(windows_of(printed)) > 1
    assert parts.y_m[0, printed] == pytest.approx(whole.y_m[0, printed], abs=0.1e-6)
    assert parts.arrival_s[0, printed] == pytest.approx(whole.arrival_s[0, printed], abs=1e-7)
    near = whole.separation_m[0, printed]
    assert parts.separation_m[0, printed] == pytest.approx(near, abs=0.05 * head.drop_diameter_m)


def test_windows_cover_every_charged_slot_once():
    charged = np.random.default_rng(4).random(5000) < 0.1
    charged[2000:2100] = False
    told = np.zeros(5000, dtype=int)
    for window in windows_of(charged):
        told[window.own : window.own_end] += 1
        assert window.first <= window.own < window.own_end <= window.end
        assert window.own - window.first <= CONTEXT_SLOTS
    assert (told[charged] == 1).all()
    assert told.max() == 1


def test_what_is_alike_is_flown_once(heads, monkeypatch):
    flown = []
    usual = fly

    def counted(head, charges, **options):
        flown.append(len(charges))
        return usual(head, charges, **options)

    monkeypatch.setattr("rasterc.head.windows.fly", counted)
    one = np.zeros(100)
    one[:7:3] = 0.1 * heads["fine"].rayleigh_charge_c
    flyer = WindowFlyer(heads["fine"], heads["fine"].throw_m)
    first = flyer.fly(np.tile(one, (1, 5)), [1.0])
    assert flown == [1]
    again = flyer.fly(np.tile(one, (1, 5)), [1.0])
    assert flown == [1]
    assert np.array_equal(first.y_m, again.y_m, equal_nan=True)


def test_charges_are_the_same_without_compiled_loops(heads, mixed, monkeypatch):
    plan, found = mixed
    monkeypatch.setattr("rasterc.head.flight.compiled_run", lambda: None)
    again = solve_charges(heads["fine"], plan, WAKE_BAND)
    for which, wake in enumerate(WAKE_BAND):
        apart = landed(heads["fine"], plan, found.charges_c[which], wake) - landed(
            heads["fine"], plan, again.charges_c[which], wake
        )
        assert np.abs(apart).max() < 1e-9
