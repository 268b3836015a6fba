"""Random messages, those that tracing is held against; and plants of few messages."""

from __future__ import annotations

import runpy
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace

import pytest

from rasterc.plant import Plant, folder_plant, load_plant

TESTS = Path(__file__).parents[1]

MESSAGES = {
    "bread": """
        message bread { raster 16 font upright-7
          clock packed in "Europe/Dublin", day from 06:00
          clock best = packed + 6 days
          shift crew of packed { "A" from 06:00 "B" from 14:00 "C" from 22:00 }
          counter bag from 1 to 3, restart daily of packed
          block {
            line: "BEST BEFORE " best(dd MMM yyyy, upper)
            line: "L" packed(yyDDD) crew " " bag(0)
          } }""",
    "milk": """
        message milk { raster 9 font upright-9
          clock filled in "Europe/Dublin", day from 04:00
          clock use-by = filled + 9 days
          input filler one of "F1" "F2"
          block { line: "USE BY " use-by(dd/MM/yy) " " filled(HH:mm) " " filler } }""",
    "pallet": """
        message pallet { raster 12 font tall-12
          counter pallet from 1 to 40
          text body = "3" "0004200" pallet(000000000)
          check digit = gs1-mod10 of body
          block { line: "(00)" body digit } }""",
    "lot": """
        message lot { raster 16 font upright-7
          clock made in "Europe/Paris"
          clock expiry = made + 30 months to month end
          input lot matching "Q[AB]0[1-3]"
          block { line: "LOT " lot }
          block gap 4 { line: "EXP " expiry(MM/yyyy) } }""",
}
PLANT = """
name = "Quillmere"
[[line]]
name = "hall 1"
profile = "line.toml"
[[line]]
name = "hall 2"
profile = "line.toml"
[[message]]
file = "messages/*.rasterc"
lines = ["hall 1"]
[[message]]
file = "messages/pallet.rasterc"
lines = ["hall 2"]
[[message]]
file = "messages/milk.rasterc"
lines = ["hall 1", "hall 2"]
"""


@pytest.fixture(scope="session")
def brute() -> SimpleNamespace:
    return SimpleNamespace(**runpy.run_path(str(TESTS / "tracing" / "conftest.py")))


@pytest.fixture(scope="session")
def messages() -> dict[str, str]:
    """The texts of the messages of the plant, by name."""
    return MESSAGES


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder of the messages, with a plant file."""
    (tmp_path / "messages").mkdir()
    for name, text in MESSAGES.items():
        (tmp_path / "messages" / f"{name}.rasterc").write_text(text)
    profile = TESTS.parent / "shared" / "profiles" / "bottle-16.toml"
    (tmp_path / "line.toml").write_text(profile.read_text())
    (tmp_path / "plant.toml").write_text(PLANT)
    return tmp_path


@pytest.fixture
def plant(folder: Path) -> Plant:
    return load_plant(folder / "plant.toml")


@pytest.fixture
def plant_of(tmp_path: Path) -> Callable[..., Plant]:
    """A plant of message texts, without a plant file."""

    def make(**texts: str) -> Plant:
        for name, text in texts.items():
            (tmp_path / f"{name}.rasterc").write_text(text)
        return folder_plant(tmp_path)

    return make
