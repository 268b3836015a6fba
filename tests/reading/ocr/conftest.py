"""The outside reader, for the tests beside this file."""

import importlib.util
import warnings
from pathlib import Path

import pytest


@pytest.fixture(scope="session")
def outside():
    """The module beside this file."""
    place = Path(__file__).with_name("outside_reader.py")
    spec = importlib.util.spec_from_file_location("rasterc_outside_reader", place)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def reader(outside):
    """A general reader of printed text; its own libraries may warn."""
    missing = [name for name in ("rapidocr", "onnxruntime") if not importlib.util.find_spec(name)]
    if missing:
        pytest.skip(
            f"no outside reader: {' and '.join(missing)} not installed, see the extra `ocr`"
        )
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return outside.OutsideReader()
