"""The lock files hold what pyproject.toml asks for, each release with its hashes."""

import re
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
CORE = PROJECT["project"]["dependencies"] + PROJECT["dependency-groups"]["build"]
PAGE = PROJECT["project"]["optional-dependencies"]["page"]
TEST = PROJECT["project"]["optional-dependencies"]["test"]
PIN = re.compile(
    r"^([\w.-]+)(\[[\w,]+\])?==(\S+)(?: ; ([^\\\n]+?))? \\\n((?:    --hash=\S+.*\n)+)", re.M
)


def pins(lock: str) -> list[Requirement]:
    """Every release that a lock file holds, with its marker."""
    text = (ROOT / "requirements" / lock).read_text(encoding="utf-8")
    found = [
        Requirement(f"{name}=={release}" + (f"; {marker}" if marker else ""))
        for name, _, release, marker, _ in PIN.findall(text)
    ]
    named = [line for line in text.splitlines() if line and line[0] not in " #"]
    assert len(found) == len(named)  # nothing stands without a hash
    return found


LOCKS = {"demo.lock": CORE, "page.lock": CORE + PAGE, "test.lock": CORE + TEST}


@pytest.mark.parametrize(("lock", "wanted"), LOCKS.items())
def test_what_is_asked_for_is_locked(lock, wanted):
    releases: dict[str, list[str]] = {}
    for pin in pins(lock):
        releases.setdefault(canonicalize_name(pin.name), []).append(
            next(iter(pin.specifier)).version
        )
    for requirement in map(Requirement, wanted):
        held = releases.get(canonicalize_name(requirement.name), [])
        assert held, f"{requirement} is not in {lock}: make lock"
        for release in held:
            assert requirement.specifier.contains(release), f"{lock} is out of date: make lock"


def test_one_release_fits_this_python():
    here = [pin for pin in pins("test.lock") if pin.marker is None or pin.marker.evaluate()]
    assert len({canonicalize_name(pin.name) for pin in here}) == len(here)
