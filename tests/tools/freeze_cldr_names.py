"""Writes rasterc/values/dates/names/*.json from the CLDR of the installed Babel: ``make names``.

It prints every name that changed. Read them before you keep them: each changes what messages print.

Names of quarters are left out: Babel 2.18 answers for the stand-alone ones with those of whichever
language was asked for first.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import babel
from babel.core import get_cldr_version

from rasterc.values.dates.languages import LANGUAGES

FOLDER = Path("rasterc/values/dates/names")
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
        "eras": {width: [locale.eras[width][era] for era in (0, 1)] for width in WIDTHS},
    }


def _by_width(data: Any, keys: range, widths: tuple[str, ...]) -> dict[str, list[str]]:
    return {
        f"{context} {width}": [data[context][width][key] for key in keys]
        for context in ("format", "stand-alone")
        for width in widths
    }


def _half_days(data: Mapping[str, Mapping[str, str]]) -> dict[str, list[str]]:
    """A width without am and pm of its own takes the abbreviated ones.

    So does the root of CLDR (common/main/root.xml, aliases of dayPeriodWidth); Babel's own
    formatting takes the narrow ones first.
    """
    return {
        width: [data[width].get(half) or data["abbreviated"][half] for half in ("am", "pm")]
        for width in WIDTHS
    }


def changes(old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[str]:
    """What differs between two states of a language's file, a line each."""
    for kind in ("months", "days", "half_days", "eras"):
        for form, names in new[kind].items():
            known = old.get(kind, {}).get(form, [None] * len(names))
            for before, after in zip(known, names, strict=True):
                if before != after:
                    yield f"{new['language']} {kind} {form}: {before!r} -> {after!r}"


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


def main() -> None:
    """Write every file, and print what changed."""
    for language in LANGUAGES:
        path = FOLDER / f"{language}.json"
        old, new = json.loads(path.read_text("utf-8")), frozen(language)
        print(f"{language}: CLDR {old['cldr']} -> {new['cldr']}")
        for change in changes(old, new):
            print(f"  {change}")
        path.write_text(as_text(new), "utf-8")


if __name__ == "__main__":
    main()
