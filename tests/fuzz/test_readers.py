"""20,000 damaged inputs to every reader there is, within time and memory."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

PROGRAM = Path(__file__).with_name("readers.py")
READERS = (
    "sources", "profiles", "plants", "bdf", "pcf", "art", "ttf", "pictures", "results",
    "readings", "arguments",
)  # fmt: skip
COUNT = 20_000


def readers(*arguments: object) -> str:
    done = subprocess.run(
        [sys.executable, PROGRAM, *map(str, arguments)], capture_output=True, text=True
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_every_reader_is_tried():
    assert readers("--list").split() == list(READERS)


@pytest.mark.parametrize("name", READERS)
def test_damaged_input_is_answered_in_time_and_memory(name):
    if name == "ttf":
        pytest.importorskip("freetype", reason="the extra outline is not installed")
        pytest.importorskip("fontTools", reason="it makes the font that is damaged")
        pytest.importorskip("matplotlib", reason="it brings the other one")
    seen = json.loads(readers(name, "--count", COUNT, "--share"))
    assert seen["accepted"] + seen["refused"] >= 300
    assert seen["accepted"] >= 15
    assert seen["refused"] >= 100
