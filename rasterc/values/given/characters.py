"""Characters: which of them can be printed."""

from __future__ import annotations

from unicodedata import category


def is_printable(char: str) -> bool:
    """Whether a character can be printed: no control, format, unassigned or line-break character.

    >>> is_printable(" "), is_printable("\\u00a0"), is_printable("\\n")
    (True, True, False)
    """
    kind = category(char)
    return kind[0] != "C" and kind not in ("Zl", "Zp")
