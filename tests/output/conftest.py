"""Strokes to write: a small picture that is no mirror image of itself, with two fields."""

from __future__ import annotations

import numpy as np
import pytest

from rasterc.diagnostics import SourceText, Span
from rasterc.layout.model import FieldBox, Strokes

ART = [
    "#..#.#",
    "##...#",
    "#....#",
    "#...##",
    "###..#",
]


def _strokes(art: list[str], boxes: tuple[FieldBox, ...] = ()) -> Strokes:
    pixels = np.array([[c == "#" for c in row] for row in reversed(art)])
    columns = (pixels << np.arange(len(art))[:, None]).sum(axis=0)
    return Strokes(tuple(columns.tolist()), len(art), boxes)


def _box(name: str, first: int, end: int, line: int = 0) -> FieldBox:
    span = Span(SourceText("test.msg", name), 0, len(name))
    return FieldBox(name, name.upper(), 0, line, first, end, 0, 5, span)


@pytest.fixture(scope="session")
def strokes_of():
    return _strokes


@pytest.fixture(scope="session")
def box():
    return _box


@pytest.fixture(scope="session")
def strokes() -> Strokes:
    return _strokes(ART, (_box("lot", 0, 3), _box("", 3, 4), _box("crew", 4, 6)))


@pytest.fixture(scope="session")
def rows() -> list[str]:
    return ART
