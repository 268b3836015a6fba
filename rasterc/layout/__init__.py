"""Texts and fonts to a layout, and a layout to strokes."""

from typing import TYPE_CHECKING

from rasterc.lazy import lazy_names

if TYPE_CHECKING:
    from rasterc.layout.arrange import Composer, lay_out
    from rasterc.layout.strokes import compile_strokes, orient

__all__ = ["Composer", "compile_strokes", "lay_out", "orient"]

__getattr__ = lazy_names(__name__, arrange="Composer lay_out", strokes="compile_strokes orient")
