"""Upper and lower case as a language writes it. Results are in Unicode normal form C."""

from __future__ import annotations

import re
from unicodedata import normalize

from rasterc.source.quoting import composed

_TONOS = re.compile("([\u0391-\u03c9][\u0308\u0313\u0314]*)[\u0300\u0301\u0342]+")
# An accent on the first of two vowels keeps them apart; without it the second takes a dialytika.
_HIATUS = re.compile(
    "([αεηιουωΑΕΗΙΟΥΩ][\u0313\u0314]*[\u0300\u0301\u0342][ιυΙΥ])(?![\u0300-\u036f])"
)


def upper(text: str, language: str) -> str:
    """``text`` in capitals.

    Turkish i becomes İ; Greek capitals drop the tonos and keep or take the dialytika; German ß
    becomes SS.

    >>> upper("Μαΐ", "el"), upper("Haziran", "tr")
    ('ΜΑΪ', 'HAZİRAN')
    """
    if text.isascii() and language != "tr":
        return text.upper()
    text = composed(text)
    if language == "tr":
        text = text.replace("i", "İ")
    elif language == "el":
        text = _without_tonos(text)
    return composed(text.upper())


def lower(text: str, language: str) -> str:
    """``text`` in small letters; Turkish I becomes ı.

    >>> lower("KASIM", "tr")
    'kasım'
    """
    text = composed(text)
    if language == "tr":
        text = text.replace("İ", "i").replace("I", "ı")
    return composed(text.lower())


def _without_tonos(text: str) -> str:
    apart = _HIATUS.sub("\\1\u0308", normalize("NFD", text))
    return composed(_TONOS.sub(r"\1", apart))
