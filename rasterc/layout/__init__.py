"""Texts and fonts to a layout, and a layout to strokes."""

from rasterc.layout.arrange import Composer, lay_out
from rasterc.layout.strokes import compile_strokes, orient

__all__ = ["Composer", "compile_strokes", "lay_out", "orient"]
