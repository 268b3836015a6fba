import runpy
from pathlib import Path

import pytest

from rasterc.head.model import head_model
from rasterc.profile.load import load_profile

HERE = Path(__file__).parent
HEADS = HERE.parent.parent / "shared" / "heads"


@pytest.fixture(scope="session")
def peer_landings():
    return runpy.run_path(str(HERE / "peer.py"))["landings"]


@pytest.fixture(scope="session")
def profiles():
    return {nozzle: load_profile(HEADS / f"head-{nozzle}.toml") for nozzle in (40, 55, 70)}


@pytest.fixture(scope="session")
def heads(profiles):
    return {nozzle: head_model(profile) for nozzle, profile in profiles.items()}
