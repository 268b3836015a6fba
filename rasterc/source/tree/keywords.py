"""The words that begin something."""

from __future__ import annotations

DECLARATIONS = ("clock", "shift", "counter", "input", "table", "text", "check")
SETTINGS = ("raster", "font", "language", "spacing", "gap")
IN_BLOCK = ("line", "picture", "symbol")
KEYWORDS = (
    *("use", "message"),
    *DECLARATIONS,
    *SETTINGS,
    *("block", *IN_BLOCK),
    *("require", "expect", "silence"),
)
"""The words that begin a statement. They are reserved: nothing can be named so."""
