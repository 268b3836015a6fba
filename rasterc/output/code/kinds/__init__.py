"""The kinds of file that strokes are written to: a module for each, named as its suffix is.

Each module has `render`, which makes the bytes of a file, `STARTS`, what all of them begin with,
and `DRAWN`: whether a `Drawing` acts on them. Nothing else needs editing for a new kind.
"""

from __future__ import annotations

import pkgutil
from importlib import import_module
from typing import TYPE_CHECKING, Protocol, cast

if TYPE_CHECKING:
    from rasterc.layout.model import Strokes
    from rasterc.output.code.geometry import Drawing
    from rasterc.values.model import ResolvedMessage

KINDS = tuple(sorted(module.name for module in pkgutil.iter_modules(__path__)))
"""Their names."""


class Kind(Protocol):
    """What the module of a kind has."""

    STARTS: bytes
    DRAWN: bool

    def render(self, strokes: Strokes, drawing: Drawing, resolved: ResolvedMessage | None) -> bytes:
        """The bytes of a file. Same arguments, same bytes."""


def kind_named(name: str) -> Kind:
    """The kind of one of `KINDS`."""
    return cast("Kind", import_module(f"{__name__}.{name}"))
