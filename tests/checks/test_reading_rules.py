"""What the rules of reading say is what `reading` says; limits by the published sources."""

import pytest

from rasterc.api import load_text
from rasterc.checks.model import EXAMPLE_PROFILE
from rasterc.checks.registry import all_rules
from rasterc.profile.load import parse_profile

AT = "2027-11-25 14:05"
CABLE = "message m { raster 5 font upright-5 counter metre from 0 to 99999 block { line: metre } }"


def found(rule, message, profile=EXAMPLE_PROFILE, **counters):
    printed = load_text(message).resolve(AT, counters=counters)
    return printed, list(all_rules()[rule].check(printed.subject(parse_profile(profile))))


def test_a_pair_has_the_chance_that_reading_tells():
    printed, [finding] = found("one-drop-decides", CABLE, metre=2)
    pair = next(p for p in printed.reading().pairs if (p.printed, p.read_as) == ("2", "3"))
    assert finding.measured == pair.general
    assert f"2 read as 3 ({pair.general:.1%})" in finding.message


def test_a_font_of_more_rows_has_no_such_pairs():
    assert found("one-drop-decides", CABLE.replace("5", "7", 2))[1] == []


@pytest.mark.parametrize(
    ("distance_mm", "rule"),
    # Smith 1979: 0.0019 rad is the limit on the mean, at 0.003 rad over 90 % are legible. Seven
    # rows of 0.35 mm with drops of 0.4 mm are 2.5 mm high.
    [
        (833, ""),
        (834, "height-at-distance"),
        (1315, "height-at-distance"),
        (1316, "height-illegible"),
    ],
)
def test_heights_are_held_against_the_distance(distance_mm, rule):
    profile = EXAMPLE_PROFILE + f"reading_distance_mm = {distance_mm}\n"
    message = 'message m { raster 7 font upright-7 block { line: "AISLE 12" } }'
    for name in ("height-at-distance", "height-illegible"):
        findings = found(name, message, profile)[1]
        assert [f.measured for f in findings] == ([pytest.approx(2.5)] if name == rule else [])


@pytest.mark.parametrize(("dot_mm", "trips"), [(0.216, True), (0.217, False)])
def test_drops_cover_three_tenths_of_their_cells(dot_mm, trips):
    # NUREG-0700, 11.3.1.4.1-7: 30 %, for round drops 0.618 of an equal pitch, here 0.35 mm.
    profile = EXAMPLE_PROFILE.replace("dot_diameter_mm = 0.4", f"dot_diameter_mm = {dot_mm}")
    message = 'message m { raster 7 font upright-7 block { line: "AISLE 12" } }'
    assert bool(found("dot-fill", message, profile)[1]) == trips
