"""Strokes as NPZ: what numpy reads back with `numpy.load`."""

from __future__ import annotations

import zipfile
from io import BytesIO

from rasterc.layout.model import Strokes
from rasterc.output.code.geometry import Drawing
from rasterc.values.model import ResolvedMessage

_NO_DATE = (1980, 1, 1, 0, 0, 0)  # the first date a ZIP file can hold; keeps the bytes the same


STARTS = b"PK"
DRAWN = False


def render(strokes: Strokes, _: Drawing, __: ResolvedMessage | None) -> bytes:
    """See `rasterc.output.code.kinds.Kind`."""
    return render_npz(strokes)


def render_npz(strokes: Strokes) -> bytes:
    """Arrays ``columns`` (uint16, shape (n,)) and ``raster`` (one integer)."""
    import numpy as np

    out = BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, array in (
            ("columns", strokes.columns.astype("<u2")),
            ("raster", np.array(strokes.raster, dtype="<i8")),
        ):
            content = BytesIO()
            np.lib.format.write_array(content, array, allow_pickle=False)
            entry = zipfile.ZipInfo(f"{name}.npy", _NO_DATE)
            entry.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(entry, content.getvalue())
    return out.getvalue()
