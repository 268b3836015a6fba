from pathlib import Path

import pytest

from rasterc.head.model import head_model
from rasterc.profile.load import load_profile

HEADS = Path(__file__).parents[2] / "shared" / "heads"


@pytest.fixture(scope="session")
def heads():
    return {path.stem: head_model(load_profile(path)) for path in sorted(HEADS.glob("*.toml"))}
