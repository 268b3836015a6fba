"""Writes rasterc/values/names/*.json from the CLDR data of the installed Babel.

Run from the top of the checkout: ``python tests/tools/freeze_cldr_names.py``. Look at the changes
before keeping them: every changed name changes what messages print.

Names of quarters are left out: Babel 2.18 answers for the stand-alone ones with those of whichever
language was asked for first.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import babel
from babel.core import get_cldr_version

from rasterc.values.languages import LANGUAGES

FOLDER = Path("rasterc/values/names")
WIDTHS = ("wide", "abbreviated", "narrow")


def frozen(language: str) -> dict[str, Any]:
    """What the file of a language holds."""
    locale = babel.Locale(language)
    return {
        "language": language,
        "cldr": get_cldr_version(),
        "babel": babel.__version__,
        "months": _by_width(locale.months, range(1, 13), WIDTHS),
        "days": _by_width(locale.days, range(7), (*WIDTHS, "short")),
        "half_days": _half_days(locale.day_periods["format"]),
    }


def _by_width(data: Any, keys: range, widths: tuple[str, ...]) -> dict[str, list[str]]:
    return {
        f"{context} {width}": [data[context][width][key] for key in keys]
        for context in ("format", "stand-alone")
        for width in widths
    }


def _half_days(data: Mapping[str, Mapping[str, str]]) -> dict[str, list[str]]:
    """A width without am and pm of its own takes those of wide, narrow, abbreviated, in order."""
    return {
        width: [
            next(
                data[w][half]
                for w in (width, "wide", "narrow", "abbreviated")
                if half in data.get(w, {})
            )
            for half in ("am", "pm")
        ]
        for width in WIDTHS
    }


def as_text(data: dict[str, Any]) -> str:
    """JSON with one list a line."""
    kinds = []
    for key, value in data.items():
        if isinstance(value, dict):
            rows = ",\n".join(
                f"    {json.dumps(k)}: {json.dumps(v, ensure_ascii=False)}"
                for k, v in value.items()
            )
            kinds.append(f"  {json.dumps(key)}: {{\n{rows}\n  }}")
        else:
            kinds.append(f"  {json.dumps(key)}: {json.dumps(value)}")
    return "{\n" + ",\n".join(kinds) + "\n}\n"


if __name__ == "__main__":
    for language in LANGUAGES:
        (FOLDER / f"{language}.json").write_text(as_text(frozen(language)), "utf-8")
