"""What is served is made of the sources, byte for byte; they keep to the house's ways."""

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from rasterc.page.server import STATIC

FRONT = STATIC.with_name("front")
SOURCES = sorted(FRONT.glob("*.js"))


def made(tmp_path: Path) -> Path:
    """The bundle made anew, by what is locked; skipped where node or the registry is not there."""
    if shutil.which("npm") is None:
        pytest.skip("there is no npm here")
    work = tmp_path / "front"
    shutil.copytree(FRONT, work, ignore=shutil.ignore_patterns("node_modules"))
    command = ["npm", "ci", "--ignore-scripts", "--no-audit", "--no-fund"]
    if subprocess.run(command, cwd=work, capture_output=True, timeout=300).returncode:
        pytest.skip("what the bundle is made of cannot be fetched here")
    subprocess.run(["npm", "run", "build"], cwd=work, check=True, capture_output=True, timeout=300)
    return tmp_path / "static"


def test_the_bundle_is_what_its_sources_make(tmp_path):
    built = made(tmp_path)
    assert {path.name for path in built.iterdir()} == {path.name for path in STATIC.iterdir()}
    for path in built.iterdir():
        assert path.read_bytes() == (STATIC / path.name).read_bytes(), f"make bundle: {path.name}"


def test_the_bundle_carries_the_licence_of_all_that_is_in_it():
    licences = (STATIC / "licences.txt").read_text("utf-8")
    locked = (FRONT / "package-lock.json").read_text("utf-8")
    for name in re.findall(r'"node_modules/([^"]+)": \{', locked):
        if "esbuild" not in name:
            assert f"{name} " in licences
    assert licences.count("Permission is hereby granted") >= 10


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: path.name)
def test_sources_are_short_and_keep_their_texts_in_one_place(path):
    text = path.read_text("utf-8")
    assert len(text.splitlines()) < 300
    assert text.startswith("/**")
    assert not re.search(r"innerHTML|outerHTML|insertAdjacentHTML|eval\(|document\.write", text)
