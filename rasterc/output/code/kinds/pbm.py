"""Strokes as PBM: one pixel per drop, exact. The format is Netpbm's raw PBM ("P4")."""

from __future__ import annotations

from rasterc.diagnostics import InputError
from rasterc.layout.model import Strokes
from rasterc.output.code.geometry import Drawing
from rasterc.values.model import ResolvedMessage

STARTS = b"P4"
DRAWN = False


def render(strokes: Strokes, _: Drawing, __: ResolvedMessage | None) -> bytes:
    """See `rasterc.output.code.kinds.Kind`."""
    return render_pbm(strokes)


def render_pbm(strokes: Strokes) -> bytes:
    """Top row first; rows padded to whole bytes with zeros, the leftmost pixel in the high bit.

    Raises:
        InputError: no strokes at all: PBM has no picture of width 0.
    """
    import numpy as np

    if not len(strokes):
        raise InputError.one(
            "no-strokes",
            "the message prints no strokes, and a PBM picture cannot be empty",
            help="use JSON, NPZ or SVG, or give the message something to print",
        )

    rows = np.arange(strokes.raster - 1, -1, -1, dtype=np.uint16)[:, None]
    drops = (strokes.columns >> rows & 1).astype(np.uint8)
    header = f"P4\n{len(strokes)} {strokes.raster}\n".encode()
    return header + np.packbits(drops, axis=1).tobytes()
