"""The rule that looks at the jet before any drop flies."""

import pytest
from msgspec import structs

from rasterc.api import load_text
from rasterc.profile.load import parse_profile

PASSES = 'message example { raster 7 font upright-7 block { line: "E" } }'


@pytest.fixture
def found():
    """The findings of the rule on its passing example, with the jet and electrode changed."""
    from rasterc.checks.rules.flight.jet_breakup import JetBreakup

    def run(jet=None, electrode=None):
        profile = parse_profile(JetBreakup.passes.profile)
        flight = profile.flight
        flight = structs.replace(
            flight,
            jet=structs.replace(flight.jet, **(jet or {})),
            electrode=structs.replace(flight.electrode, **(electrode or {})),
        )
        subject = load_text(PASSES).resolve().subject(structs.replace(profile, flight=flight))
        return [finding.message for finding in JetBreakup().of_message(subject)]

    return run


def test_breakup_must_lie_in_the_tunnel(found):
    # the tunnel reaches from 5 to 9 mm
    assert found() == []
    assert found({"breakup_mm": 8.9}) == []  # near its end: a warning of rasterc jet
    [said] = found({"breakup_mm": 9.1})
    assert "beyond the tunnel" in said
    [said] = found({"breakup_mm": 4.9})
    assert "before the tunnel" in said


def test_the_voltage_must_settle_within_a_drop_period(found):
    # 73.9 kHz: a period of 13.5 us
    assert found(electrode={"settle_us": 10.0}) == []
    [said] = found(electrode={"settle_us": 16.0})
    assert "no drop gets its full charge" in said


def test_a_profile_that_says_things_twice_is_refused(found):
    [said] = found({"modulation": 0.01})
    assert "same thing twice" in said


def test_what_the_profile_does_not_tell_is_not_looked_at(found):
    assert found({"breakup_mm": 50.0}, {"from_nozzle_mm": None}) == []
