"""The gallery: every planted mistake is found by its rule, and nothing else is warned of."""

from functools import cache

import pytest

from rasterc.checks.registry import all_rules
from rasterc.diagnostics import Severity
from rasterc.fonts import library
from tests.checks.gallery import cases

READ_ONCE = cache(library.load_font)
CASES = cases()
MISTAKES = [case for case in CASES if case.finds]
GOOD = [case for case in CASES if not case.finds]


@pytest.fixture(autouse=True)
def fonts_are_read_once(monkeypatch):
    monkeypatch.setattr(library, "load_font", READ_ONCE)


def named(case):
    return f"{case.file}: {case.title}"


def loud(findings):
    return [f for f in findings if f.severity is not Severity.NOTE]


@pytest.mark.parametrize("case", MISTAKES, ids=named)
def test_a_planted_mistake_is_found_and_its_repaired_twin_is_quiet(case):
    assert case.finds <= set(all_rules())
    assert any(all_rules()[name].severity is not Severity.NOTE for name in case.finds)
    assert case.is_found()
    twin = case.findings("+")
    assert loud(twin) == []
    assert not case.finds & {finding.rule for finding in twin}


@pytest.mark.parametrize("case", GOOD, ids=named)
def test_a_good_message_is_not_warned_of(case):
    assert loud(case.findings("-")) == []


def test_the_gallery_covers_what_it_should():
    assert len(MISTAKES) >= 120
    assert len(GOOD) >= 60
    sets = {name.strip() for c in CASES for name in c.headers.get("rules", "").split(",")} - {""}
    assert sets | {"general"} == {rule.rule_set for rule in all_rules().values()}
