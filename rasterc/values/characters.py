"""Characters: which can be printed, and the one form of those that Unicode writes in two ways."""

from __future__ import annotations

from unicodedata import category, normalize


def is_printable(char: str) -> bool:
    """Whether a character can be printed: no control, format, unassigned or line-break character.

    >>> is_printable(" "), is_printable("\\u00a0"), is_printable("\\n")
    (True, True, False)
    """
    kind = category(char)
    return kind[0] != "C" and kind not in ("Zl", "Zp")


def composed(text: str) -> str:
    """``text`` in Unicode normal form C: one character for a letter with its accent."""
    return text if text.isascii() else normalize("NFC", text)
