"""The words by which dates, lots and numbers are introduced: leads, in 27 languages.

They stand in ``lead_words.csv``, one a row, each with where it was read:

- ``annex-x``: Regulation (EU) No 1169/2011, Annex X, or the official text of an act of this
  language that takes it over;
- ``repealed``: the same wording in an official act that was since repealed;
- ``secondary``: a text that states the wording of the Annex in this language;
- ``2295/2003``: Regulation (EC) No 2295/2003, Annex I (repealed): short forms;
- ``2011/91``: Directive 2011/91/EU, Article 3;
- ``common``: common practice, no source;
- ``memory``: from memory.

Texts are compared in capitals, without accents, words apart from signs. ``after`` are words that
follow the date, where a language has it inside the phrase.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from pathlib import Path
from unicodedata import combining, normalize

_FILE = Path(__file__).with_name("lead_words.csv")
_WORD = re.compile(r"[^\W_]+")
_IDENTIFIER = re.compile(r"\(([0-9]{2,4})\)\s*$")
_FILLERS = frozenset(
    (
        *("NO", "NR", "N", "Nº", "NUM", "NUMBER", "NUMMER", "NUMER", "CODE", "DATE", "DAY"),
        *(
            "ON",
            "OF",
            "THE",
            "LE",
            "AU",
            "DU",
            "EL",
            "DEL",
            "DEN",
            "IL",
            "DNE",
            "DNIA",
            "AM",
            "EM",
            "OP",
        ),
    )
)
_ENDS = frozenset(
    (
        *("END", "ENDE", "FIN", "FINE", "EIND", "EINDE", "KONCEM", "KONCA", "KONIEC", "KONCE"),
        *("FINAL", "FIM", "LOPPUA"),
    )
)


class Kind(StrEnum):
    """What a lead introduces."""

    BEST_BEFORE = "best-before"
    BEST_BEFORE_END = "best-before-end"
    USE_BY = "use-by"
    KEEPING = "keeping"
    SELL_BY = "sell-by"
    PACKED = "packed"
    FROZEN = "frozen"
    LOT = "lot"
    SERIAL = "serial"
    ITEM = "item"


KEEPING = frozenset(
    {Kind.BEST_BEFORE, Kind.BEST_BEFORE_END, Kind.USE_BY, Kind.KEEPING, Kind.SELL_BY}
)
"""Leads of the day to which a product keeps."""

IDENTIFIERS = {
    "01": Kind.ITEM, "02": Kind.ITEM, "10": Kind.LOT, "11": Kind.PACKED, "13": Kind.PACKED,
    "15": Kind.BEST_BEFORE, "16": Kind.SELL_BY, "17": Kind.KEEPING, "21": Kind.SERIAL,
}  # fmt: skip
"""What the application identifiers of GS1 introduce."""


@dataclass(frozen=True, slots=True)
class Lead:
    """A lead: ``words`` as they are written, ``plain`` as they are compared.

    ``language`` is "" for what belongs to none; ``after`` follows the date, plain.
    """

    language: str
    kind: Kind
    words: str
    plain: tuple[str, ...]
    after: tuple[str, ...] = ()
    source: str = ""


def plain_words(text: str) -> tuple[str, ...]:
    """The words of a text in capitals without accents.

    >>> plain_words("À consommer jusqu'au: "), plain_words("B.NO. 7")
    (('A', 'CONSOMMER', 'JUSQU', 'AU'), ('B', 'NO', '7'))
    """
    letters = (char for char in normalize("NFD", text.upper()) if not combining(char))
    return tuple(_WORD.findall("".join(letters)))


@cache
def known_leads() -> tuple[Lead, ...]:
    """Every lead, in the order of the file."""
    with _FILE.open(encoding="utf-8", newline="") as file:
        return tuple(
            Lead(
                row["language"], Kind(row["kind"]), row["words"], plain_words(row["words"]),
                plain_words(row["after"]), row["source"],
            )
            for row in csv.DictReader(file)
        )  # fmt: skip


@cache
def _by_words() -> dict[tuple[str, ...], tuple[Lead, ...]]:
    found: dict[tuple[str, ...], tuple[Lead, ...]] = {}
    for lead in known_leads():
        found[lead.plain] = (*found.get(lead.plain, ()), lead)
    return found


@cache
def _longest() -> int:
    return max(map(len, _by_words()))


@cache
def leads_at_end(text: str) -> tuple[Lead, ...]:
    """The leads a text ends in, the longest that fits, in all their languages.

    Words such as "no." and "date" may follow one, and "end" in some language after one for a date
    with its day.

    >>> [lead.kind.value for lead in leads_at_end("7 KG Best before end: ")]
    ['best-before-end']
    >>> {lead.kind.value for lead in leads_at_end("Lot no. ")}, leads_at_end("EXP 24 ")
    ({'lot'}, ())
    """
    if identifier := _IDENTIFIER.search(text):
        kind = IDENTIFIERS.get(identifier[1])
        return (Lead("", kind, identifier[0], ()),) if kind else ()
    words = plain_words(text)
    for end in range(len(words), max(-1, len(words) - 3), -1):
        if any(word not in _FILLERS and word not in _ENDS for word in words[end:]):
            return ()
        found = next((f for f in _suffixes(words[:end])), ())
        if found:
            return tuple(_ended(lead, words[end:]) for lead in found)
    return ()


def is_lead(text: str) -> bool:
    """Whether a text is nothing but a lead, or several of the end of a life, in two languages say.

    A short word may stand before it.

    >>> is_lead("ZU VERBRAUCHEN BIS:"), is_lead("PACKED  USE BY"), is_lead("BEST BEFORE/THT")
    (True, False, True)
    """
    found = list(leads_within(text)) or list(leads_at_end(text))
    if not leads_at_end(text):
        return False
    used = {word for lead in found for word in lead.plain}
    others = [w for w in plain_words(text) if w not in used | _FILLERS | _ENDS]
    alike = all(lead.kind in KEEPING for lead in found) or len({lead.kind for lead in found}) == 1
    return alike and len(others) <= 1 and all(len(word) <= 2 for word in others)


def leads_within(text: str) -> Iterator[Lead]:
    """The leads of at least three letters in a text, none of them within another."""
    words, start = plain_words(text), 0
    while start < len(words):
        ends = range(min(len(words), start + _longest()), start, -1)
        end = next((e for e in ends if _by_words().get(words[start:e])), start + 1)
        if len("".join(words[start:end])) > 2:
            yield from _by_words().get(words[start:end], ())
        start = end


@cache
def words_of_leads() -> frozenset[str]:
    """Every word that stands in a lead, or may stand after one."""
    return frozenset(word for words in _by_words() for word in words) | _FILLERS | _ENDS


def _suffixes(words: tuple[str, ...]) -> Iterator[tuple[Lead, ...]]:
    for start in range(max(0, len(words) - _longest()), len(words)):
        if found := _by_words().get(words[start:]):
            yield found


def _ended(lead: Lead, fillers: tuple[str, ...]) -> Lead:
    """A lead of best before with "end" after it is one for a date without its day."""
    if lead.kind is not Kind.BEST_BEFORE or not _ENDS.intersection(fillers):
        return lead
    return Lead(lead.language, Kind.BEST_BEFORE_END, lead.words, lead.plain, (), lead.source)
