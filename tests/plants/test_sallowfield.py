"""The invented plant: each fault that was put into it is found, by its rules and no others."""

from __future__ import annotations

import re
import runpy
import tomllib
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from msgspec import structs

from rasterc import InputError, load_all
from rasterc.code import Code
from rasterc.profile.load import load_profile
from rasterc.profile.model import LineProfile, RuleSet
from rasterc.values.model import Instant

PLANT = Path(__file__).parents[2] / "shared" / "plants" / "sallowfield"
FILE: dict[str, Any] = tomllib.loads((PLANT / "plant.toml").read_text(encoding="utf-8"))
LINES = {line["name"]: line for line in FILE["line"]}
UNREADABLE = "cannot be read"


def stated() -> dict[str, set[str]]:
    """The rules that must find something, by message, as the README has them."""
    rows = re.findall(
        r"^\| `([\w-]+)` \|[^|]*\| (.*) \|$", (PLANT / "README.md").read_text(), re.MULTILINE
    )
    found = {name: set(re.findall(r"`([\w-]+)`", rules)) or {rules} for name, rules in rows}
    assert len(found) >= 15
    return found


STATED = stated()


def runs() -> Iterator[tuple[str, str]]:
    """Every message file on every line."""
    for entry in FILE["message"]:
        for line in entry["lines"]:
            yield entry["file"], line


@pytest.mark.parametrize(("file", "line"), list(runs()))
def test_each_fault_is_found_and_nothing_else(file: str, line: str) -> None:
    entry = next(e for e in FILE["message"] if e["file"] == file)
    try:
        codes = load_all(PLANT / file)
    except InputError:
        assert STATED[Path(file).stem] == {UNREADABLE}
        return
    for name, code in codes.items():
        found = _found(code, entry, _profile(line)) - _silenced(name, line)
        assert found == STATED.get(name, set()), name


def _found(code: Code, entry: dict[str, Any], profile: LineProfile) -> set[str]:
    """The rules that find something, over some years and at the instant of the entry."""
    start = datetime(2027, 11, 25, 14, 5)
    counters, inputs = _settings(code, entry.get("set", []))
    surveyed = code.check_all(start, 2, profile=profile, counters=counters, inputs=inputs)
    printed = code.resolve_at(Instant(start, counters, inputs))
    return {one.rule for one in (*surveyed.report.findings, *printed.check(profile))}


def _settings(code: Code, wanted: list[str]) -> tuple[dict[str, int], dict[str, str]]:
    pairs = dict(one.split("=", 1) for one in wanted)
    counters = {n: int(v) for n, v in pairs.items() if n in code.message.counters}
    return counters, {n: v for n, v in pairs.items() if n not in counters}


def _profile(line: str) -> LineProfile:
    profile = load_profile(PLANT / LINES[line]["profile"])
    rules = LINES[line].get("rules")
    return profile if rules is None else structs.replace(profile, rules=list(map(RuleSet, rules)))


def _silenced(message: str, line: str) -> set[str]:
    """The rules that the plant file silences there."""
    return {
        silence["rule"]
        for silence in FILE["silence"]
        if line in silence.get("lines", [line])
        and message in silence.get("messages", [message])
    }  # fmt: skip


def test_it_is_as_large_as_it_says() -> None:
    assert len(FILE["message"]) >= 40
    assert len({line["profile"] for line in FILE["line"]}) == 6
    assert all(silence["because"] for silence in FILE["silence"])
    assert {entry["file"] for entry in FILE["message"]} == {
        path.relative_to(PLANT).as_posix() for path in (PLANT / "messages").glob("*.rasterc")
    }


def test_the_product_table_is_what_its_script_makes() -> None:
    script = runpy.run_path(str(PLANT / "make_products.py"))
    lines = (PLANT / "messages" / "products.csv").read_text(encoding="utf-8").splitlines()
    assert len(lines) == 501
    assert len(script["rows"]()) == 500
    assert all(row[0] == line[:5] for row, line in zip(script["rows"](), lines[1:], strict=True))
