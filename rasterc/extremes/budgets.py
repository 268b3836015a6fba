"""How much is looked at before a search for repeats ends."""

from __future__ import annotations

MAX_ENTRIES = 5_000_000  # stretches that are held against others whose fields touch
MAX_WAYS = 200  # values that are tried for one example
MAX_PAIRED = 11  # values of a variable of which each two are tried
MAX_TRACED = 30  # examples of which it is looked up whether they print in between
MAX_EXAMPLES = 20  # pairs of moments at which values are tried
