"""The invented plant: each fault that was put into it is found, by its rules and no others."""

from __future__ import annotations

import re
import runpy
from datetime import datetime
from pathlib import Path

import pytest

from rasterc import InputError, load_all
from rasterc.code import Code
from rasterc.plant import Run, load_plant
from rasterc.values.model import Instant

FOLDER = Path(__file__).parents[2] / "shared" / "plants" / "sallowfield"
PLANT = load_plant(FOLDER / "plant.toml")
UNREADABLE = "cannot be read"


def stated() -> dict[str, set[str]]:
    """The rules that must find something, by message, as the README has them."""
    text = (FOLDER / "README.md").read_text(encoding="utf-8")
    rows = re.findall(r"^\| `([\w-]+)` \|[^|]*\| (.*) \|$", text, re.MULTILINE)
    return {name: set(re.findall(r"`([\w-]+)`", rules)) or {rules} for name, rules in rows}


STATED = stated()


def _name(run: Run) -> str:
    return f"{run.file.stem} on {run.line.name if run.line else ''}"


@pytest.mark.parametrize("run", PLANT.runs, ids=_name)
def test_each_fault_is_found_and_nothing_else(run: Run) -> None:
    try:
        codes = load_all(run.file)
    except InputError:
        assert STATED[run.file.stem] == {UNREADABLE}
        return
    accepted = {silence.rule for silence in run.silences}
    for name, code in codes.items():
        assert _found(code, run) - accepted == STATED.get(name, set()), name


def _found(code: Code, run: Run) -> set[str]:
    """The rules that find something, over some years and at the instant of the run."""
    start, profile = datetime(2027, 11, 25, 14, 5), run.load_profile()
    pairs = dict(one.split("=", 1) for one in run.settings)
    counters = {n: int(v) for n, v in pairs.items() if n in code.message.counters}
    inputs = {n: v for n, v in pairs.items() if n not in counters}
    surveyed = code.check_all(start, 2, profile=profile, counters=counters, inputs=inputs)
    printed = code.resolve_at(Instant(start, counters, inputs))
    return {one.rule for one in (*surveyed.report.findings, *printed.check(profile))}


def test_it_is_as_large_as_it_says() -> None:
    assert len(PLANT.files) >= 40
    assert len({line.profile for line in PLANT.lines}) == 6
    assert set(PLANT.files) == set((FOLDER / "messages").glob("*.rasterc"))
    assert len(STATED) >= 15


def test_the_product_table_is_what_its_script_makes() -> None:
    script = runpy.run_path(str(FOLDER / "make_products.py"))
    lines = (FOLDER / "messages" / "products.csv").read_text(encoding="utf-8").splitlines()
    assert len(lines) == 501
    assert len(script["rows"]()) == 500
    assert all(row[0] == line[:5] for row, line in zip(script["rows"](), lines[1:], strict=True))
