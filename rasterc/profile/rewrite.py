"""Setting keys of a profile's text; all else, comments too, stays as it is."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from typing import Any

from rasterc.diagnostics import InputError, SourceText
from rasterc.toml.places import key_places

KeyPath = tuple[str, ...]


def with_values(text: str, values: Mapping[KeyPath, Any], comment: str) -> str:
    """The text with numbers, or lists of them, at these paths.

    A key that is there is changed on its line, another added below the header of its table. Each
    gets the comment; one it had is lost.

    Raises:
        InputError: the text is written in a way (inline tables, lists over several lines) that
            lines cannot be changed in.
    """
    wanted = tomllib.loads(text)
    for path, value in values.items():
        changed = _changed(text, path, f"{path[-1]} = {value}  # {comment}")
        text = text if changed is None else changed
        _set(wanted, path, value)
    try:
        done = tomllib.loads(text) == wanted
    except tomllib.TOMLDecodeError:
        done = False
    if not done:
        keys = ", ".join(f"{'.'.join(path)} = {value}" for path, value in values.items())
        raise InputError.one(
            "cannot-rewrite",
            "the profile is written in a way that its lines cannot be changed",
            help=f"write them by hand: {keys}",
        )
    return text


def _changed(text: str, path: KeyPath, line: str) -> str | None:
    """The text with one line changed or added; None when the table has no header."""
    source = SourceText("profile", text)
    places = key_places(source)
    if span := places.get(path):
        end = text.find("\n", span.start)
        return text[: span.start] + line + (text[end:] if end >= 0 else "\n")
    header = places.get(path[:-1])
    if header is None:
        return None
    end = text.find("\n", header.start)
    return f"{text}\n{line}\n" if end < 0 else f"{text[: end + 1]}{line}\n{text[end + 1 :]}"


def _set(values: dict[str, Any], path: KeyPath, value: Any) -> None:
    for name in path[:-1]:
        values = values.setdefault(name, {})
    values[path[-1]] = value
