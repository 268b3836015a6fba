"""Where each key of a TOML text stands. `tomllib` gives values only; faults need lines."""

from __future__ import annotations

import re

from rasterc.diagnostics import SourceText, Span

Path = tuple[str | int, ...]

_NAME = r"""[A-Za-z0-9_-]+|"[^"\n]*"|'[^'\n]*'"""
_HEADER = re.compile(rf"\s*(\[\[?)\s*((?:{_NAME})(?:\s*\.\s*(?:{_NAME}))*)\s*\]\]?")
_KEY = re.compile(rf"\s*((?:{_NAME})(?:\s*\.\s*(?:{_NAME}))*)\s*=\s*(.*?)\s*$")


MAX_PARTS = 16
"""Names of one dotted key. `tomllib` keeps every beginning of a key: memory grows with the square;
keys of our files have two."""

_TOKEN = re.compile(
    r"""(?P<name>[A-Za-z0-9_-]+|"(?:[^"\\\n]|\\.)*"|'[^'\n]*')|(?P<dot>[ \t]*\.[ \t]*)|."""
    r"""|\n|#[^\n]*"""
)


def deep_key(source: SourceText) -> Span | None:
    """The first run of more than `MAX_PARTS` names joined by dots, None when there is none."""
    start, parts, after_dot = 0, 0, False
    for token in _TOKEN.finditer(source.text):
        if token["name"] is not None:
            start, parts = (start, parts + 1) if after_dot else (token.start(), 1)
            if parts > MAX_PARTS:
                return Span(source, start, token.end())
        after_dot = token["dot"] is not None
    return None


def key_places(source: SourceText) -> dict[Path, Span]:
    """The span of every ``key = value`` line and every table header, by path.

    Elements of an array of tables carry their index: ``("raster", 0, "drops")``. Keys inside
    inline tables and arrays are not listed: use the place of the key that holds them.
    """
    places: dict[Path, Span] = {}
    counts: dict[Path, int] = {}  # tables of each array so far
    table: Path = ()
    offset = 0
    for line in source.text.splitlines(keepends=True):
        code = line.split("#", 1)[0] if '"' not in line and "'" not in line else line
        text = code.rstrip()
        span = Span(source, offset + len(text) - len(text.lstrip()), offset + len(text))
        offset += len(line)
        if header := _HEADER.match(text):
            holder = table = _inside(_names(header[2]), counts)
            if header[1] == "[[":
                table = (*holder, counts.get(holder, 0))
                counts[holder] = counts.get(holder, 0) + 1
            places.setdefault(table, span)
            places.setdefault(holder, span)
        elif key := _KEY.match(text):
            places.setdefault((*table, *_names(key[1])), span)
    return places


def place_of(places: dict[Path, Span], path: Path) -> Span | None:
    """The place of a path, or of the nearest table that holds it."""
    while path:
        if path in places:
            return places[path]
        path = path[:-1]
    return None


def _inside(names: tuple[str, ...], counts: dict[Path, int]) -> Path:
    """The path of a header: a table of an array is in the array's last one so far."""
    path: Path = ()
    for name in names[:-1]:
        path = (*path, name)
        path = (*path, counts[path] - 1) if path in counts else path
    return (*path, *names[-1:])


def _names(dotted: str) -> tuple[str, ...]:
    return tuple(part.strip("\"' ") for part in re.findall(_NAME, dotted))
