"""Names of eras, months, days and half-days, frozen from the Unicode CLDR.

The files in ``names/`` are written by ``tests/tools/freeze_cldr_names.py``; each says which CLDR
release it was taken from. Freezing keeps a message's texts the same on every machine: CLDR changes
names between releases.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from msgspec import Struct, structs

from rasterc.diagnostics import InputError, Span, did_you_mean

LANGUAGES = ("cs", "de", "el", "en", "es", "fi", "fr", "it", "nl", "pl", "pt", "ru", "sv", "tr")

_FOLDER = Path(__file__).with_name("names")

ByWidth = Mapping[str, tuple[str, ...]]


class Names(Struct, frozen=True):
    """A language's names, each kind by "format WIDTH" or "stand-alone WIDTH".

    ``months`` has 12 of each, ``days`` 7 from Monday; ``half_days`` (am, pm) and ``eras`` (before
    year 1, since) are by WIDTH alone. Widths are wide, abbreviated, narrow, and for days also
    short. The no-break spaces of CLDR are plain spaces here: a code line has no breaks.
    """

    language: str
    cldr_release: str
    months: ByWidth
    days: ByWidth
    half_days: ByWidth
    eras: ByWidth

    def without_points(self) -> Names:
        """The same names without the points of abbreviations ("sept" for "sept.")."""
        return structs.replace(
            self,
            months=_without_points(self.months),
            days=_without_points(self.days),
            half_days=_without_points(self.half_days),
            eras=_without_points(self.eras),
        )


def find_names(language: str, span: Span | None) -> Names:
    """The names of a language, by its two-letter code (ISO 639-1).

    Raises:
        InputError: the language is not one of `LANGUAGES`.
    """
    if language in LANGUAGES:
        return _read(language)
    base = language[:2].lower()
    known = ", ".join(LANGUAGES)
    hint = f'did you mean "{base}"?' if base in LANGUAGES else did_you_mean(language, LANGUAGES)
    raise InputError.one(
        "unknown-language",
        f'there are no names for the language "{language}"',
        span,
        f"{hint} (known: {known})" if "mean" in hint else f"known: {known}",
    )


def cldr_release() -> str:
    """The release of the Unicode CLDR that the names of all languages were taken from."""
    return _read("en").cldr_release


@cache
def _read(language: str) -> Names:
    data: dict[str, Any] = json.loads((_FOLDER / f"{language}.json").read_text("utf-8"))
    kinds = ("months", "days", "half_days", "eras")
    return Names(language, data["cldr"], **{kind: _plain_spaces(data[kind]) for kind in kinds})


def _plain_spaces(names: Mapping[str, list[str]]) -> ByWidth:
    spaces = str.maketrans("\u00a0\u202f", "  ")
    return {key: tuple(name.translate(spaces) for name in names[key]) for key in names}


def _without_points(names: ByWidth) -> ByWidth:
    return {key: tuple(name.replace(".", "") for name in names[key]) for key in names}
