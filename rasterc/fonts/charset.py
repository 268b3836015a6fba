"""What the code numbers of a font file stand for."""

from __future__ import annotations

import re
from collections.abc import Callable

CharOf = Callable[[int], str | None]
"""The character of a code, or None when the code stands for no character."""

_CODECS = {
    "ISO646.1991-IRV": "ascii",
    "TIS620-0": "tis-620",
    "TIS620.2533-0": "tis-620",
    "TIS620.2533-1": "tis-620",
}
_SINGLE_BYTE = re.compile(r"(?:ISO-?8859-\d+|KOI8-[RUT]|CP\d{3,4}|TIS-620|ASCII)")


def char_of_charset(name: str) -> CharOf | None:
    """How to read codes of a character set such as "ISO10646-1", "ISO8859-2" or "koi8-r".

    ``name`` is the registry and encoding of an X font name, or the name of a single-byte codec of
    Python. None when it is neither (fonts of several bytes a character, symbol fonts).

    >>> char_of_charset("ISO8859-2")(0xB3)
    'ł'
    """
    upper = name.upper()
    if upper.startswith("ISO10646") or upper == "UNICODE":
        return unicode_char
    upper = upper.removeprefix("MICROSOFT-").replace("WINDOWS-", "CP")
    codec = _CODECS.get(upper) or (upper if _SINGLE_BYTE.fullmatch(upper) else None)
    try:
        return None if codec is None else _single_byte(codec)
    except LookupError:  # a number Python has no codec for
        return None


def unicode_char(code: int) -> str | None:
    """The character of a Unicode code point; None outside Unicode and for surrogates."""
    if 0 <= code < 0xD800 or 0xDFFF < code <= 0x10FFFF:
        return chr(code)
    return None


def _single_byte(codec: str) -> CharOf:
    table: list[str | None] = []
    for code in range(256):
        try:
            char = bytes([code]).decode(codec)
        except UnicodeDecodeError:
            char = ""
        table.append(char if len(char) == 1 else None)
    return lambda code: table[code] if 0 <= code < 256 else None
