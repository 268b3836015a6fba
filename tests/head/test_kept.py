"""What was flown is flown no more, and what could change it is never overlooked."""

from dataclasses import fields, is_dataclass, replace

import numpy as np
import pytest
from msgspec import structs

import rasterc.head.table as table_module
from rasterc.head import kept as kept_module
from rasterc.head.plan import StrokePlan, Throw
from rasterc.head.table import fly_band, solve_band

PLAN = StrokePlan(np.array([0b101, 0b011]), np.array([0, 9]), Throw((0, 1, 2), 2), 0.26, 0.5, 92e3)
WAKES = (0.75, 1.0)


@pytest.fixture(autouse=True)
def flights(monkeypatch, tmp_path):
    """How many times something was worked out."""
    monkeypatch.setenv("RASTERC_CACHE", str(tmp_path))
    made = []
    usual = table_module.WindowFlyer

    def counted(*given, **options):
        made.append(given)
        return usual(*given, **options)

    for module in (table_module, __import__("rasterc.head.solve", fromlist=["x"])):
        monkeypatch.setattr(module, "WindowFlyer", counted)
    return made


def changed(record, **changes):
    return (replace if is_dataclass(record) else structs.replace)(record, **changes)


def names_of(record):
    return [f.name for f in fields(record)] if is_dataclass(record) else record.__struct_fields__


def test_a_message_is_solved_and_flown_once(heads, flights):
    first = solve_band(heads["fine"], PLAN, WAKES)
    assert flights
    flights.clear()
    again = solve_band(heads["fine"], PLAN, WAKES)
    assert not flights
    for one, other in zip(first, again, strict=True):
        assert np.array_equal(one.charges_c, other.charges_c)
        assert np.array_equal(one.residual_m, other.residual_m)
        for name in names_of(one.landings):
            assert np.array_equal(getattr(one.landings, name), getattr(other.landings, name))


def test_every_figure_of_the_head_tells_flights_apart(heads, flights):
    head = heads["fine"]
    keys = {kept_module._key("charges", head, PLAN, WAKES, None)}
    for name in names_of(head):
        value = getattr(head, name)
        other = (0.2, 0.1) if isinstance(value, tuple) else value + 1
        keys.add(kept_module._key("charges", changed(head, **{name: other}), PLAN, WAKES, None))
    assert len(keys) == 1 + len(names_of(head))


def test_so_does_everything_else(heads, monkeypatch):
    head, charges = heads["fine"], np.arange(6.0)
    given = [
        ("charges", head, PLAN, WAKES, None),
        ("landings", head, PLAN, WAKES, None),
        ("charges", head, PLAN, (0.75, 1.1), None),
        ("charges", head, PLAN, WAKES, charges),
        ("charges", head, PLAN, WAKES, charges.reshape(2, 3)),
        ("charges", head, PLAN, WAKES, np.nextafter(charges, 9)),
        *(
            ("charges", head, changed(PLAN, **change), WAKES, None)
            for change in (
                {"columns": np.array([0b101, 0b111])},
                {"starts": np.array([0, 10])},
                {"throw": Throw((0, 2, 1), 2)},
                {"throw": Throw((0, 1, 2), 3)},
                {"throw": Throw((0, 1, 2), 2, 3)},
                {"stroke_pitch_mm": 0.27},
                {"speed_m_s": 0.6},
                {"drop_frequency_hz": 91e3},
            )
        ),
    ]
    keys = {kept_module._key(*one) for one in given}
    assert len(keys) == len(given)
    for name in ("model_version", "flown_by"):
        monkeypatch.setattr(kept_module, name, lambda: "another")
        keys.add(kept_module._key(*given[0]))
    assert len(keys) == len(given) + 2


def test_a_damaged_entry_is_flown_again(heads, flights, tmp_path):
    first = solve_band(heads["fine"], PLAN, WAKES)
    entries = list(tmp_path.rglob("*.kept"))
    assert len(entries) == 2
    for path in entries:
        path.write_bytes(path.read_bytes()[:-1])
    flights.clear()
    again = solve_band(heads["fine"], PLAN, WAKES)
    assert flights
    assert np.array_equal(first[0].landings.y_mm, again[0].landings.y_mm)


def test_what_need_not_be_kept_is_not(heads, tmp_path):
    fly_band(heads["fine"], PLAN, np.zeros((2, PLAN.slots)), WAKES, keep=False)
    assert not list(tmp_path.rglob("*.kept"))
