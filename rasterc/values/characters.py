"""Characters: which can be printed, and the one form of those that Unicode writes in two ways."""

from __future__ import annotations

from unicodedata import category

from rasterc.source.words import composed

__all__ = ["composed", "is_printable"]


def is_printable(char: str) -> bool:
    """Whether a character can be printed: no control, format, unassigned or line-break character.

    >>> is_printable(" "), is_printable("\\u00a0"), is_printable("\\n")
    (True, True, False)
    """
    kind = category(char)
    return kind[0] != "C" and kind not in ("Zl", "Zp")
