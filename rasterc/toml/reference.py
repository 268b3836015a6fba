"""The keys of a file as text, made from the types themselves."""

from __future__ import annotations

from collections.abc import Iterator
from enum import Enum
from typing import Annotated, Any, get_args, get_origin

from msgspec import NODEFAULT, Meta, Struct, structs

from rasterc.toml.typed import struct_of


def reference(kind: type[Struct], what: str) -> str:
    """Every key with its meaning, range and default.

    Args:
        kind: the type that a file is read as.
        what: how people call such a file, "A line profile".
    """
    return "\n".join([f"{what} is a TOML file with these keys.", *_keys(kind, "")])


def _keys(kind: type[Struct], table: str) -> Iterator[str]:
    fields = structs.fields(kind)
    plain = [f for f in fields if not struct_of(f.type)[0]]
    width = max(len(f.encode_name) for f in plain)
    for field in plain:
        yield f"  {field.encode_name:<{width}}  {_meaning(field)}"
    for field in fields:
        struct, listed = struct_of(field.type)
        if struct:
            name = f"{table}{field.encode_name}"
            yield ""
            yield f"[[{name}]]" if listed else f"[{name}]"
            yield from _keys(struct, f"{name}.")


def _meaning(field: structs.FieldInfo) -> str:
    metas = [m for m in get_args(field.type) if isinstance(m, Meta)]
    text = next((m.description for m in metas if m.description), "")
    text += f" {_range(field.type)}" if _range(field.type) else ""
    if field.required:
        return text + " Required."
    default = field.default if field.default is not NODEFAULT else None
    return text if default is None else f"{text} Default {_toml(default)}."


def _range(kind: Any) -> str:
    """Limits and choices, looked for through lists and unions."""
    if isinstance(kind, type) and issubclass(kind, Enum):
        return "One of: " + ", ".join(str(c.value) for c in kind) + "."
    parts = get_args(kind)
    if get_origin(kind) is Annotated:
        for meta in parts[1:]:
            if found := _limits(meta):
                return found
        parts = parts[:1]
    return next((found for part in parts if (found := _range(part))), "")


def _limits(meta: Meta) -> str:
    """``10000 to 300000.``, ``Above 0, up to 100.``, ``Above 0.``, or nothing."""
    if meta.gt is not None:
        return f"Above {_plain(meta.gt)}" + (f", up to {_plain(meta.le)}." if meta.le else ".")
    if meta.ge is not None:
        return _plain(meta.ge) + (f" to {_plain(meta.le)}." if meta.le else " or more.")
    return ""


def _plain(number: float) -> str:
    """A number without exponent or needless zeros."""
    return f"{number:.6f}".rstrip("0").rstrip(".")


def _toml(value: Any) -> str:
    return (
        str(value).lower()
        if isinstance(value, bool)
        else f'"{value}"'
        if isinstance(value, str)
        else str(value)
    )
