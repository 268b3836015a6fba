"""An invented plant that commands are tried on."""

from pathlib import Path

import pytest

SHARED = Path(__file__).parents[2] / "shared"
PLANT = """name = "mill"

[defaults]
horizon_years = 1

[[line]]
name = "slow"
profile = "slow.toml"

[[line]]
name = "fast"
profile = "fast.toml"

[[message]]
file = "messages/*.rasterc"

[[message]]
file = "messages/lot.rasterc"
lines = ["slow"]
at = "2027-11-25 14:05"
set = ["case=4"]

[[silence]]
rule = "unused-declaration"
because = "kept for the spring"
lines = ["slow"]

[[silence]]
rule = "lot-mark"
because = "it stands on the cap"
"""
GOOD = 'message {} {{ raster 7 font upright-7 block {{ line: "LOT 7" }} }}\n'
UNUSED = GOOD.replace("block", "counter spare from 1 to 9 block")
COUNTED = (
    "message {} {{ raster 7 font upright-7 counter case from 1 to 9 "
    'block {{ line: "LOT " case(0) }} require length <= 5 mm }}\n'
)
MESSAGES = {"good": GOOD, "spare": UNUSED, "lot": COUNTED}


@pytest.fixture
def mill(tmp_path, monkeypatch):
    """A plant of two lines and three messages, one of them on one line only."""
    (tmp_path / "messages").mkdir()
    for name, text in MESSAGES.items():
        (tmp_path / "messages" / f"{name}.rasterc").write_text(text.format(name))
    profile = (SHARED / "profiles" / "dairy-9.toml").read_text()
    (tmp_path / "slow.toml").write_text(profile.replace(', "eu-food"', ""))
    (tmp_path / "fast.toml").write_text(profile.replace(', "eu-food"', "").replace("0.5, ", ""))
    (tmp_path / "plant.toml").write_text(PLANT)
    monkeypatch.chdir(tmp_path)
    return tmp_path
