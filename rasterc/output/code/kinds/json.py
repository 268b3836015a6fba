"""Strokes as JSON."""

from __future__ import annotations

import json
from typing import Any

from rasterc.layout.model import FieldBox, Strokes
from rasterc.output.code.geometry import Drawing
from rasterc.values.model import Instant, ResolvedMessage
from rasterc.values.rows.picked import rows_of

SCHEMA = "rasterc/strokes/1"


def strokes_as_dict(strokes: Strokes, resolved: ResolvedMessage | None = None) -> dict[str, Any]:
    """Strokes as plain JSON values.

    Keys: ``raster``; ``strokes`` and ``drops`` (how many); ``columns`` (an integer
    each, bit r for row r); ``rows`` (text art, top row first); ``boxes`` (see `FieldBox`). With
    ``resolved`` also ``message``, ``instant``, ``texts`` (one for each line) and ``products`` (the
    cells of the rows that were picked, by table and column).
    """
    out: dict[str, Any] = {
        "raster": strokes.raster,
        "strokes": len(strokes),
        "drops": strokes.drops,
        "columns": list(strokes.bits),
        "rows": strokes.art().split("\n"),
        "boxes": [_box(box) for box in strokes.boxes],
    }
    if resolved is not None:
        out["message"] = resolved.message.name
        out["instant"] = _instant(resolved.instant)
        out["texts"] = list(resolved.lines)
        out["products"] = {name: dict(row) for name, row in rows_of(resolved).items()}
    return out


STARTS = b"{"
DRAWN = False


def render(strokes: Strokes, _: Drawing, resolved: ResolvedMessage | None) -> bytes:
    """See `rasterc.output.code.kinds.Kind`."""
    return render_json(strokes, resolved)


def render_json(strokes: Strokes, resolved: ResolvedMessage | None = None) -> bytes:
    """`strokes_as_dict` as UTF-8 text, one key a line; the first is ``schema``."""
    items = {"schema": SCHEMA, **strokes_as_dict(strokes, resolved)}.items()
    lines = ",\n".join(
        f"  {json.dumps(key)}: {json.dumps(value, ensure_ascii=False)}" for key, value in items
    )
    return f"{{\n{lines}\n}}\n".encode(errors="replace")


def _box(box: FieldBox) -> dict[str, Any]:
    return {
        "name": box.name,
        "text": box.text,
        "block": box.block,
        "line": box.line,
        "first": box.first,
        "end": box.end,
        "bottom": box.bottom,
        "top": box.top,
    }


def _instant(instant: Instant) -> dict[str, Any]:
    return {
        "at": None if instant.when is None else instant.when.isoformat(),
        "counters": dict(instant.counters),
        "inputs": dict(instant.inputs),
    }
