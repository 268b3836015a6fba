"""Which messages of a plant could have printed a code.

`find` answers for a code that was read off a pack; a `Finder` answers many times.
"""

from __future__ import annotations

from rasterc.search.find import Finder, find, window_around
from rasterc.search.model import FindResult, Hit, Misread, Unsure, Window

__all__ = ["FindResult", "Finder", "Hit", "Misread", "Unsure", "Window", "find", "window_around"]
