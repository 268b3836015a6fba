"""Lists of texts in a finding."""

from __future__ import annotations

from collections.abc import Sequence


def listed(words: Sequence[str]) -> str:
    """
    >>> listed(["1", "6 (June)", "7 (July)"])
    '1, 6 (June) and 7 (July)'
    """
    return f"{', '.join(words[:-1])} and {words[-1]}"
