import runpy
from pathlib import Path

import pytest

from rasterc.head.model import head_model
from rasterc.profile.load import load_profile

HERE = Path(__file__).parent
NAMES = ("fine", "middle", "coarse")
HEADS = HERE.parent.parent / "shared" / "heads"


@pytest.fixture(scope="session")
def peer_landings():
    return runpy.run_path(str(HERE / "peer.py"))["landings"]


@pytest.fixture(scope="session")
def profiles():
    return {name: load_profile(HEADS / f"head-{name}.toml") for name in NAMES}


@pytest.fixture(scope="session")
def heads(profiles):
    return {name: head_model(profile) for name, profile in profiles.items()}
