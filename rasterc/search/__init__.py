"""Looking over the messages of a plant: which could have printed a code, what is ahead of each.

`find` answers for a code that was read off a pack; a `Finder` answers many times. `listing` prints
every message on each of its lines, `days` tells the days on which something happens to it, `states`
what a check has found.
"""

from __future__ import annotations

from rasterc.search.find import Finder, find, window_around
from rasterc.search.model import FindResult, Hit, Misread, Unsure, Window

__all__ = ["FindResult", "Finder", "Hit", "Misread", "Unsure", "Window", "find", "window_around"]
