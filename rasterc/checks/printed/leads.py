"""The words by which dates and lots are introduced, in several languages.

From memory of the official language versions of Annex X of Regulation (EU) No 1169/2011 and of
the trade; labels are compared in capitals.
"""

from __future__ import annotations

import re
from unicodedata import combining, normalize

_LOT = re.compile(
    r"(?:\bL|\bLOT|\bLOTE|\bLOTTO|\bBATCH|\bCHARGE|\bCH\.-B|\bPARTIE|\bPARTIA|\bŠARŽE|\bPARTI|\bERÄ"
    r"|\bΠΑΡΤΙΔΑ|\(10\))(?: ?(?:NO|NR|N°|№)\.?)?[ .:-]*$"
)
_EXPIRY = re.compile(r"(?:\bEXP|\bEXPIRY|\bEXPIRES|\bVERW\. BIS|\bSCAD|\bCAD|\bPÉR|\(17\))[ .:]*$")
_SERIAL = re.compile(r"(?:\bSN|\bS/N|\bSERIAL|\(21\))[ .:]*$")

USE_BY = {
    "cs": "SPOTŘEBUJTE DO",
    "de": "VERBRAUCHEN BIS",
    "el": "ΑΝΑΛΩΣΗ ΜΕΧΡΙ",
    "en": "USE BY",
    "es": "FECHA DE CADUCIDAD",
    "fi": "VIIMEINEN KÄYTTÖAJANKOHTA",
    "fr": "CONSOMMER JUSQU",
    "it": "DA CONSUMARE ENTRO",
    "nl": "TE GEBRUIKEN TOT",
    "pl": "NALEŻY SPOŻYĆ DO",
    "pt": "CONSUMIR ATÉ",
    "sv": "SISTA FÖRBRUKNINGSDAG",
}
"""What a use-by date is introduced by."""

BEST_BEFORE = {
    "de": ("MINDESTENS HALTBAR BIS", "MINDESTENS HALTBAR BIS ENDE"),
    "en": ("BEST BEFORE", "BEST BEFORE END"),
    "es": ("CONSUMIR PREFERENTEMENTE ANTES DEL", "CONSUMIR PREFERENTEMENTE ANTES DEL FIN DE"),
    "fr": ("CONSOMMER DE PRÉFÉRENCE AVANT LE", "CONSOMMER DE PRÉFÉRENCE AVANT FIN"),
    "it": ("CONSUMARSI PREFERIBILMENTE ENTRO IL", "CONSUMARSI PREFERIBILMENTE ENTRO FINE"),
    "nl": ("TEN MINSTE HOUDBAAR TOT", "TEN MINSTE HOUDBAAR TOT EINDE"),
    "pl": ("NAJLEPIEJ SPOŻYĆ PRZED", "NAJLEPIEJ SPOŻYĆ PRZED KOŃCEM"),
    "sv": ("BÄST FÖRE", "BÄST FÖRE UTGÅNGEN AV"),
}
"""What a date of minimum durability is introduced by: with its day, and without it."""


_ENDS = "END|DATE|DAY|OF|ENDE|FIN|FINE|EIND|EINDE|KOŃCEM|KOŃCA|KONIEC|KONCE|FINAL|FIM|LOPPUA"
_KEEPING = (
    *USE_BY.values(), *(words for words, _ in BEST_BEFORE.values()),
    "USE BEFORE", "EXPIRY", "EXPIRES", "EXPIRATION", "EXP", "BB", "BBD", "BBE", "BB/E", "B/B",
    "SELL BY", "VERWENDBAR BIS", "VERW. BIS", "HALTBAR BIS", "MHD", "CONSOMMER AVANT", "DLC",
    "DDM", "DLUO", "CAD", "CADUCIDAD", "CONSUMIR ANTES DE", "SCAD", "SCADENZA", "PÉR", "THT", "TGT",
    "HOUDBAAR TOT", "SPOŻYĆ DO", "SPOŻYĆ PRZED", "WAŻNE DO", "VALIDADE", "TRVANLIVOST DO",
    "SPOTŘEBUJTE DO", "PARASTA ENNEN", "SON KULLANMA TARİHİ",
)  # fmt: skip


def _plain(text: str) -> str:
    """Capitals without accents, with single blanks for hyphens and longer gaps."""
    letters = (char for char in normalize("NFD", text.upper()) if not combining(char))
    return re.sub(r"[\s_-]+", " ", "".join(letters))


_KEEPING_END = (
    r"(?:" + "|".join(re.escape(_plain(words)) for words in _KEEPING) + r")"
    r"(?:['’]\w{1,2})?(?:\W+(?:" + _plain(_ENDS) + r"))*\W*$"
)
_IS_KEEPING = re.compile(r"(?:\b" + _KEEPING_END + r")|\((?:15|16|17)\)\s*$")
_IS_KEEPING_ALONE = re.compile(r"\W*(?:\w{1,2}\W+)?" + _KEEPING_END)


def is_keeping(text: str) -> bool:
    """Whether a text ends in what introduces the day to which a product keeps.

    >>> is_keeping("Best before end: "), is_keeping("À consommer jusqu'au "), is_keeping("EXP 24 ")
    (True, True, False)
    """
    return bool(_IS_KEEPING.search(_plain(text)))


def is_keeping_alone(text: str) -> bool:
    """Whether a text is nothing but that, with an article or preposition before it at most.

    >>> is_keeping_alone("ZU VERBRAUCHEN BIS:"), is_keeping_alone("PACKED  USE BY")
    (True, False)
    """
    return bool(_IS_KEEPING_ALONE.match(_plain(text)))


def is_lot(text: str) -> bool:
    """Whether a text ends in what introduces a lot.

    >>> is_lot("Lot no. "), is_lot("EXP L"), is_lot("TOTAL ")
    (True, True, False)
    """
    return bool(_LOT.search(text.upper()))


def is_expiry(text: str) -> bool:
    """Whether a text ends in what introduces the expiry of a medicine."""
    return bool(_EXPIRY.search(text.upper()))


def is_serial(text: str) -> bool:
    """Whether a text ends in what introduces a serial number."""
    return bool(_SERIAL.search(text.upper()))


def is_use_by(label: str) -> bool:
    """Whether a label, in capitals, says that the product is unsafe after the date."""
    return any(words in label for words in USE_BY.values())


def best_before_end(label: str) -> str | None:
    """The words for a date without its day, when the label is the words for one with it."""
    words = label.rstrip(" .:")
    forms = (end for day, end in BEST_BEFORE.values() if words.endswith(day))
    return next(forms, None)
