"""What the cells of a column must be by the use that is made of them."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterator, Sequence
from functools import partial
from unicodedata import category

from rasterc.diagnostics import Diagnostic
from rasterc.source.products.reading import MAX_TOLD, more
from rasterc.source.products.sheet import Sheet

MAX_TEXT = 1_000
"""Characters of a cell that is printed."""

_Judge = Callable[[str], str]
"""What is wrong with a text; "" when nothing is."""


def text_faults(sheet: Sheet, column: str) -> list[Diagnostic]:
    """What keeps cells of a column from being printed as they are."""
    texts = sheet.column(column)
    bad = set(filter(_is_bad, set("".join(texts))))
    if not bad and max(map(len, texts), default=0) <= MAX_TEXT:
        return []
    help = "put it right, or leave it out"
    return _told(sheet, column, partial(_unprintable, bad), "cells cannot be printed", help)


def key_faults(sheet: Sheet, column: str, keys: Sequence[str]) -> list[Diagnostic]:
    """What keeps a column from picking rows; ``keys`` are its texts as they are looked up."""
    faults = text_faults(sheet, column)
    if all(keys) and not any(key != key.strip() for key in keys):
        empty: list[Diagnostic] = []
    else:
        help = "give it one, without blanks at its ends, or remove the row"
        empty = _told(sheet, column, _no_key, "rows have no usable key", help)
    return [*faults, *empty, *_twice(sheet, column, keys)]


def number_faults(sheet: Sheet, column: str, what: str, most: int) -> list[Diagnostic]:
    """What keeps cells from being whole numbers from 0 to ``most``."""

    def wrong(text: str) -> str:
        if re.fullmatch("[0-9]{1,19}", text) and int(text) <= most:
            return ""
        shown = f'"{text[:20]}"' if text else "an empty cell"
        return f"{what} is a whole number from 0 to {most}, not {shown}"

    help = f"write the number alone: {what} is counted in the unit that the message names"
    return _told(sheet, column, wrong, "cells are no such number", help)


def word_faults(sheet: Sheet, column: str, known: Sequence[str], what: str) -> list[Diagnostic]:
    """What keeps cells from being one of some words."""

    def wrong(text: str) -> str:
        return "" if text in known else f'"{text[:20]}" is no {what}'

    return _told(sheet, column, wrong, f"cells are no {what}", f"known: {', '.join(known)}")


def _told(sheet: Sheet, column: str, judge: _Judge, what: str, help: str) -> list[Diagnostic]:
    """A fault for each cell that is wrong, and how many more there are."""
    texts = sheet.column(column)
    wrong = {text: said for text in set(texts) if (said := judge(text))}
    rows = [row for row, text in enumerate(texts) if text in wrong] if wrong else []
    places = sheet.places(column, rows[:MAX_TOLD])
    faults = [
        Diagnostic("bad-cell", wrong[texts[row]], place, help) for row, place in places.items()
    ]
    if len(rows) > MAX_TOLD:
        faults.append(more(rows, what, places[rows[MAX_TOLD - 1]]))
    return faults


def _is_bad(char: str) -> bool:
    return category(char)[0] == "C" or category(char) in ("Zl", "Zp")


def _unprintable(bad: Collection[str], text: str) -> str:
    if len(text) > MAX_TEXT:
        return f"this text has {len(text):,} characters, more than {MAX_TEXT:,}"
    char = next(filter(bad.__contains__, text), "")
    if not char:
        return ""
    what = _SEEN.get(char, f"U+{ord(char):04X}")
    return f"this text holds {what}, which cannot be printed"


_SEEN = {"\n": "a line break", "\r": "a line break", "\t": "a tab"}


def _no_key(text: str) -> str:
    if not text.strip():
        return "this row has no key"
    return "this key has blanks at its ends" if text != text.strip() else ""


def _twice(sheet: Sheet, column: str, keys: Sequence[str]) -> Iterator[Diagnostic]:
    first = {key: row for row, key in reversed([*enumerate(keys)])}
    if len(first) == len(keys):
        return
    rows = [row for row, key in enumerate(keys) if first[key] != row and key]
    shown = rows[:MAX_TOLD]
    places = sheet.places(column, [*shown, *(first[keys[row]] for row in shown)])
    for row in shown:
        said, line = f'the key "{keys[row]}" stands twice', places[first[keys[row]]].line
        yield Diagnostic("duplicate-key", said, places[row], f"the first one is in line {line}")
    if len(rows) > MAX_TOLD:
        yield more(rows, "keys stand twice", places[shown[-1]])
