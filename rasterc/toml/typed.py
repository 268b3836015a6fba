"""Reading TOML by types: every fault reported, each with its line."""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Callable, Iterator, Mapping
from enum import Enum
from functools import cache
from types import UnionType
from typing import Annotated, Any, TypeVar, Union, get_args, get_origin

import msgspec
from msgspec import Meta, Struct, structs

from rasterc.diagnostics import Diagnostic, InputError, SourceText, Span, did_you_mean
from rasterc.toml.places import MAX_PARTS, Path, deep_key, key_places, place_of

MAX_FAULTS = 20
"""Faults of one file that are told; of the others the number."""
_LONGEST_NAME = 40  # characters of a name that are shown

Kind = TypeVar("Kind", bound=Struct)
Values = dict[str, Any]


class Places:
    """Where the keys of a TOML text stand."""

    def __init__(self, source: SourceText) -> None:
        self._places = key_places(source)
        self._whole = Span(source, 0, 0)

    def at(self, path: Path) -> Span:
        """The place of a key, or of the nearest table that holds it; else the beginning."""
        return place_of(self._places, path) or self._whole

    def fault(self, code: str, message: str, path: Path, help: str = "") -> Diagnostic:
        """A fault at the place of a key."""
        return Diagnostic(code, message, self.at(path), help)


More = Callable[[Values, Places], Iterator[Diagnostic]]
"""What is wrong with values that types cannot tell; they need not be of their types."""


def read_toml(source: SourceText, kind: type[Kind], what: str, more: More) -> Kind:
    """Read TOML text as a record.

    Args:
        source: the text.
        kind: the type of the record.
        what: how people call such a file, "profile".
        more: looks for faults that types cannot tell.

    Raises:
        InputError: with every fault found, in order of place.
    """
    values = _values(source, what)
    places = Places(source)
    faults = [*_Checker(places, what).check(kind, values), *more(values, places)]
    if faults:
        raise InputError(_first(sorted(faults, key=lambda d: d.span.start if d.span else 0)))
    return msgspec.convert(values, kind)


def _values(source: SourceText, what: str) -> Values:
    if deep := deep_key(source):
        said = f"a key of more than {MAX_PARTS} names"
        raise InputError.one("too-deep", said, deep, f"the keys of a {what} have one or two")
    try:
        return tomllib.loads(source.text)
    except (ValueError, RecursionError) as error:  # numbers of thousands of digits, deep nesting
        raise InputError([_toml_fault(source, what, error)]) from None


def _first(faults: list[Diagnostic]) -> list[Diagnostic]:
    """The first faults, and how many more there are."""
    more = len(faults) - MAX_FAULTS
    if more <= 0:
        return faults
    said = f"and {more:,} more like these" if more > 1 else "and one more like these"
    return [*faults[:MAX_FAULTS], Diagnostic("too-many-errors", said, help="mend the first ones")]


def _toml_fault(source: SourceText, what: str, error: Exception) -> Diagnostic:
    said = str(error)
    if isinstance(error, RecursionError):
        said = "nested too deeply"
    elif not isinstance(error, tomllib.TOMLDecodeError):
        said = "a number that cannot be read: too many digits, or no such date"
    place = re.search(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)", said)
    start = len(source.text)
    if place and place[1]:
        before = source.text.split("\n")[: int(place[1]) - 1]
        start = sum(len(line) + 1 for line in before) + int(place[2]) - 1
    message = said[: place.start()] if place else said
    return Diagnostic(
        "not-toml",
        f"not TOML: {message}",
        Span(source, start, start + 1),
        f"a {what} is TOML 1.0: key = value lines under [table] headers",
    )


class _Checker:
    """Walks the values beside the types and says what does not fit, where."""

    def __init__(self, places: Places, what: str) -> None:
        self._fault = places.fault
        self._what = what

    def check(self, kind: type[Struct], values: Values) -> Iterator[Diagnostic]:
        yield from self._struct(kind, values, ())

    def _struct(self, kind: type[Struct], values: Any, path: Path) -> Iterator[Diagnostic]:
        if not isinstance(values, dict):
            help = f"write its keys below a line [{_key(path)}]"
            yield self._fault("wrong-type", f"{_key(path)} must be a table", path, help)
            return
        fields = _fields(kind)
        meant: set[str] = set()  # a key spelt wrong is one mistake: do not call it missing too
        for index, key in enumerate(key for key in values if key not in fields):
            where = f" in [{_key(path)}]" if path else ""
            help = did_you_mean(_cut(key), fields) if index < MAX_FAULTS else ""
            meant |= {name for name in fields if f'"{name}"?' in help}
            said = f'unknown key "{_cut(key)}"{where}'
            yield self._fault("unknown-key", said, (*path, key), help)
        for key, field in fields.items():
            here = (*path, key)
            if key in values:
                yield from self._value(field.type, values[key], here)
            elif field.required and key not in meant:
                holder = f"[{_key(path)}]" if path else f"the {self._what}"
                message, help = f'{holder} needs the key "{key}"', _description(field.type)
                yield self._fault("missing-key", message, here, help)

    def _value(self, kind: Any, value: Any, path: Path) -> Iterator[Diagnostic]:
        struct, listed = struct_of(kind)
        if struct and listed:
            if not isinstance(value, list) or not value:
                message, help = f"{_key(path)} must be tables", f"write [[{_key(path)}]] for each"
                yield self._fault("wrong-type", message, path, help)
                return
            if len(value) > _most(kind):
                message, help = f"{_key(path)}: more than {_most(kind)} of them", _description(kind)
                yield self._fault("wrong-value", message, path, help)
                return
            for index, element in enumerate(value):
                yield from self._struct(struct, element, (*path, index))
        elif struct:
            yield from self._struct(struct, value, path)
        else:
            yield from self._plain(kind, value, path)

    def _plain(self, kind: Any, value: Any, path: Path) -> Iterator[Diagnostic]:
        numbers = value if isinstance(value, list) else [value]
        if any(isinstance(n, float) and not math.isfinite(n) for n in numbers):
            yield self._fault("wrong-value", f"{_key(path)} must be finite", path)
            return
        try:
            msgspec.convert(value, kind)
        except msgspec.ValidationError as error:
            said, known = str(error), _choices(kind)
            help = _description(kind)
            if wrong := re.match("(?s)Invalid enum value '(.*)'", said):
                said = f'"{_cut(wrong[1])}" is none of its values{said[wrong.end() :]}'
                said += f"; one of: {', '.join(known)}"
                help = _nearest(_cut(wrong[1]), known) or help
            yield self._fault("wrong-value", f"{_key(path)}: {in_words(said)}", path, help)


@cache
def _fields(kind: type[Struct]) -> Mapping[str, structs.FieldInfo]:
    """The fields of a type, by the names of their keys."""
    return {field.encode_name: field for field in structs.fields(kind)}


_TYPE_WORDS = {
    "float": "a number",
    "int": "a whole number",
    "str": "text",
    "bool": "true or false",
    "object": "a table",
    "datetime": "a date and time",
    "date": "a date",
    "time": "a time of day",
}


def in_words(said: str) -> str:
    """msgspec's sentence without its marks and type names."""
    said = re.sub(r" - at `\$\[(\d+)\]`", lambda m: f" (at value {int(m[1]) + 1})", said)
    said = re.sub(r"`(\w+)( \| null)?`", lambda m: _TYPE_WORDS.get(m[1], m[1]), said)
    said = re.sub(r"array of length >= 1\b", "at least one value", said)
    said = re.sub(r"array of length <= (\d+)", r"at most \1 values", said)
    said = re.sub(r"text of length >= 1\b", "at least one character", said)
    said = re.sub(r"\barray\b", "a list", said)
    said = re.sub(r"text matching regex '.*'", "a colour such as #1c1c24", said)
    return said[0].lower() + said[1:].replace("`", "")


def struct_of(kind: Any) -> tuple[type[Struct] | None, bool]:
    """The struct a type is, or is a list of; and whether it is a list."""
    listed = False
    while get_origin(kind) in (Annotated, list, Union, UnionType):
        listed = listed or get_origin(kind) is list
        kind = get_args(kind)[0]
    return (kind if isinstance(kind, type) and issubclass(kind, Struct) else None), listed


def _description(kind: Any) -> str:
    """What the key means, from its `Meta`."""
    metas = get_args(kind)[1:] if get_origin(kind) is Annotated else ()
    return next((m.description for m in metas if isinstance(m, Meta) and m.description), "")


def _most(kind: Any) -> int:
    """The most elements of a list, from its `Meta`."""
    metas = get_args(kind)[1:] if get_origin(kind) is Annotated else ()
    return next((m.max_length for m in metas if isinstance(m, Meta) and m.max_length), 1_000)


def _choices(kind: Any) -> list[str]:
    """The values of the enumeration that a type is or lists, empty for other types."""
    while get_origin(kind) in (Annotated, list, Union, UnionType):
        kind = get_args(kind)[0]
    return [str(c) for c in kind] if isinstance(kind, type) and issubclass(kind, Enum) else []


def _nearest(text: str, known: list[str]) -> str:
    """The known value that is meant, "" when none is near."""
    help = did_you_mean(text, known)
    return help if help.startswith("did") else ""


def _key(path: Path) -> str:
    return ".".join(str(part + 1) if isinstance(part, int) else _cut(part) for part in path)


def _cut(name: str) -> str:
    """A name as far as it is shown."""
    return name if len(name) <= _LONGEST_NAME else f"{name[:_LONGEST_NAME]}..."
