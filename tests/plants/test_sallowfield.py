"""The invented plant: each fault that was put into it is found, by its rules and no others."""

from __future__ import annotations

import json
import re
import runpy
from pathlib import Path

import pytest

from rasterc.plant import load_plant

FOLDER = Path(__file__).parents[2] / "shared" / "plants" / "sallowfield"
REPORT = Path(__file__).parent / "sallowfield.txt"
PLANT = load_plant(FOLDER / "plant.toml")
UNREADABLE = "cannot be read"


def stated() -> dict[str, set[str]]:
    """The rules that must find something, by message, as the README has them."""
    text = (FOLDER / "README.md").read_text(encoding="utf-8")
    rows = re.findall(r"^\| `([\w-]+)` \|[^|]*\| (.*) \|$", text, re.MULTILINE)
    return {name: set(re.findall(r"`([\w-]+)`", rules)) or {rules} for name, rules in rows}


@pytest.fixture(scope="module")
def kept(tmp_path_factory) -> Path:
    """Verdicts are worked out once for the tests of this file."""
    return tmp_path_factory.mktemp("kept")


@pytest.fixture
def check(program, kept: Path, monkeypatch):
    """The whole plant checked over all values, as it is in its folder."""
    monkeypatch.chdir(FOLDER)
    return lambda *more: program("check", "--all", *more, code=2, RASTERC_CACHE=str(kept)).out


def test_each_fault_is_found_and_nothing_else(check) -> None:
    document = json.loads(check("--json"))
    expected = stated()
    found = {one["message"]: set[str]() for one in document["messages"]}
    for one in document["messages"]:
        found[one["message"]] |= {finding["code"] for finding in one["findings"]}
    assert {name: rules for name, rules in found.items() if rules} == {
        name: rules for name, rules in expected.items() if rules != {UNREADABLE}
    }
    broken = {Path(one["file"]).stem for one in document["broken"]}
    assert broken == {name for name, rules in expected.items() if rules == {UNREADABLE}}


def test_its_report(check) -> None:
    """To renew it: rasterc check --all > ../../../tests/plants/sallowfield.txt, in its folder."""
    assert check() == REPORT.read_text(encoding="utf-8")


def test_it_is_as_large_as_it_says() -> None:
    assert len(PLANT.files) >= 40
    assert len({line.profile for line in PLANT.lines}) == 6
    assert set(PLANT.files) == set((FOLDER / "messages").glob("*.rasterc"))
    assert len(stated()) >= 15


def test_the_product_table_is_what_its_script_makes() -> None:
    script = runpy.run_path(str(FOLDER / "make_products.py"))
    lines = (FOLDER / "messages" / "products.csv").read_text(encoding="utf-8").splitlines()
    assert len(lines) == 501
    assert len(script["rows"]()) == 500
    assert all(row[0] == line[:5] for row, line in zip(script["rows"](), lines[1:], strict=True))
