"""What the tests of the source room share."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest
from msgspec import Struct, structs

from rasterc.diagnostics import Span


def plain(value: Any) -> Any:
    """A value as plain data, every place in the text left out: what the text means."""
    fields = None
    if isinstance(value, Struct):
        fields = structs.asdict(value)
    elif isinstance(value, tuple) and hasattr(value, "_asdict"):
        fields = value._asdict()
    if fields is not None:
        return {
            "is": type(value).__name__,
            **{
                name: plain(item)
                for name, item in fields.items()
                if not isinstance(item, Span) and not name.endswith("span")
            },
        }
    if isinstance(value, Mapping):
        return [(key, plain(item)) for key, item in value.items()]
    if isinstance(value, tuple | list):
        return [plain(item) for item in value]
    return value


@pytest.fixture(scope="session")
def meaning():
    """The function that leaves the places in the text out of a message."""
    return plain
