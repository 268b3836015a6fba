"""Rules of flight: what they say, and that their remedies hold."""

import re

import pytest

from rasterc.api import load_text
from rasterc.checks.model import Example
from rasterc.checks.registry import all_rules, check
from rasterc.diagnostics import Severity
from rasterc.head.timing import max_speed_m_s, stroke_rate_limit_hz
from rasterc.profile.load import parse_profile

RULES = all_rules()
FLIGHT = [n for n, rule in RULES.items() if rule.family == "flight" and n != "jet-breakup"]


def found_by(name: str, example: Example, *changes: tuple[str, str]):
    profile = example.profile
    for old, new in changes:
        assert old in profile
        profile = profile.replace(old, new)
    subject = load_text(example.message).resolve(example.at).subject(parse_profile(profile))
    return list(RULES[name].check(subject))


def test_all_of_them_are_registered():
    assert set(FLIGHT) == {
        "amplifier-limit", "charge-limit", "drops-merge", "flight-placement", "flight-profile",
        "height-at-throw", "slant-in-flight",
    }  # fmt: skip


def test_without_a_flight_table_nothing_is_flown(monkeypatch):
    def never(*_):
        raise AssertionError("a message was flown")

    monkeypatch.setattr("rasterc.sweep.inspection.fly_case", never)
    trips = RULES["drops-merge"].trips
    grounded = trips.profile[: trips.profile.index("[flight]")]
    subject = load_text(trips.message).resolve().subject(parse_profile(grounded))
    assert not [f for f in check(subject) if f.rule in FLIGHT]


def test_contradictions_are_all_said():
    found = found_by("flight-profile", RULES["flight-profile"].trips)
    assert len(found) == 2  # of the drop's size with the jet, and with the dot
    assert all(f.remedy for f in found)


def test_the_voltage_in_the_remedy_is_enough():
    rule = RULES["amplifier-limit"]
    [finding] = found_by(rule.id, rule.trips)
    assert (finding.limit, finding.unit) == (200, "V")
    enough = re.search(r"an amplifier of (\d+) V", finding.remedy)[1]
    assert int(enough) >= finding.measured
    assert not found_by(rule.id, rule.trips, ("max_v = 200", f"max_v = {enough}"))


def test_a_lowest_voltage_above_what_is_needed_is_found():
    rule = RULES["amplifier-limit"]
    [finding] = found_by(rule.id, rule.passes, ("max_v = 350", "max_v = 350\nmin_v = 50"), (
        "lowest_row_mm = 1.5", "lowest_row_mm = 0.4"))  # fmt: skip
    assert finding.measured < 50 == finding.limit
    assert "lower min_v" in finding.remedy


def test_the_field_in_the_remedy_is_enough():
    rule = RULES["charge-limit"]
    [finding] = found_by(rule.id, rule.trips)
    assert 0.8 < finding.measured < 1
    field = re.search(r"field_mv_m to ([\d.]+)", finding.remedy)[1]
    assert not found_by(rule.id, rule.trips, ("field_mv_m = 0.38", f"field_mv_m = {field}"))


def test_a_drop_beyond_its_limit_is_an_error():
    rule = RULES["charge-limit"]
    change = ("surface_tension_n_m = 0.025", "surface_tension_n_m = 0.015")
    [finding] = found_by(rule.id, rule.trips, change)
    # Rayleigh's charge goes as the root of the tension
    [usual] = found_by(rule.id, rule.trips)
    assert finding.measured == pytest.approx(usual.measured * (0.025 / 0.015) ** 0.5, rel=1e-3)
    assert (finding.severity, finding.limit) == (Severity.ERROR, 1)


def test_one_more_guard_drop_keeps_drops_apart():
    rule = RULES["drops-merge"]
    [finding] = found_by(rule.id, rule.trips)
    assert finding.measured < 1
    assert finding.span.text == '"E"'  # in flight, and still at its place in the source
    first, end = finding.strokes
    assert end == first + 1
    assert "throw 1 guard drop (" in finding.remedy
    one = parse_profile(rule.trips.profile.replace("guard_drops = 0", "guard_drops = 1"))
    limit = stroke_rate_limit_hz(one.raster(7), one.head.drop_frequency_hz)
    fastest = max_speed_m_s(limit, one.line.stroke_pitch_mm)
    assert f"up to {int(fastest * 100) / 100:g} m/s" in finding.remedy
    # one may not be enough under strong wakes: the next finding says so, and three are
    assert not found_by(rule.id, rule.trips, ("guard_drops = 0", "guard_drops = 3"))


def test_a_finding_says_under_which_wakes():
    rule = RULES["drops-merge"]
    profile = rule.trips.profile.replace("guard_drops = 0", "guard_drops = 1")
    weak = profile.replace("wake = [1, 1, 1]", "wake = [0, 0, 1.1]")
    subject = load_text(rule.trips.message).resolve(rule.trips.at).subject(parse_profile(weak))
    [finding] = [f for f in rule.check(subject) if f.severity is Severity.ERROR]
    assert "if wakes are as strong as 1.1 (of 0, 1.1)," in finding.message


def test_the_range_in_the_remedy_keeps_the_height():
    rule = RULES["height-at-throw"]
    [finding] = found_by(rule.id, rule.trips)
    assert finding.measured < finding.limit == 2.2
    room = re.search(r"within ([\d.]+) mm", finding.remedy)[1]
    change = ("throw_tolerance_mm = 8", f"throw_tolerance_mm = {room}")
    assert not found_by(rule.id, rule.trips, change)


def test_a_finer_converter_places_the_drops():
    rule = RULES["flight-placement"]
    [finding] = found_by(rule.id, rule.trips)
    bits = re.search(r"dac_bits = (\d+)", finding.remedy)[1]
    assert not found_by(rule.id, rule.trips, ("dac_bits = 6", f"dac_bits = {bits}"))


def test_the_speed_in_the_remedy_leans_less():
    rule = RULES["slant-in-flight"]
    [finding] = found_by(rule.id, rule.trips)
    slower = re.search(r"slow to ([\d.]+) m/s", finding.remedy)[1]
    assert float(slower) < 3.1
    assert not found_by(rule.id, rule.trips, ("[3.1]", f"[{slower}]"))
    # beyond what the firing alone makes of it, the rule `slant` speaks
    assert not found_by(rule.id, rule.trips, ("[3.1]", "[9]"))
