"""The words by which dates and lots are introduced, in several languages.

From memory of the official language versions of Annex X of Regulation (EU) No 1169/2011 and of
the trade; labels are compared in capitals.
"""

from __future__ import annotations

import re

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
