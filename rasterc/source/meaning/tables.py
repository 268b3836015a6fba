"""Tables, in their four forms: by key, counted from a number, letters, by the time of day."""

from __future__ import annotations

import re

from msgspec import Struct, structs

from rasterc.diagnostics import InputError
from rasterc.source.declarations import Table
from rasterc.source.meaning.phrases import MAX_NUMBER, Reader, apply_options
from rasterc.source.meaning.scope import Scope
from rasterc.source.pieces import Word
from rasterc.source.tree import syntax as s

MAX_ROWS = 10_000
"""Rows of a table: more than codes have letters for, few enough to be looked at one by one."""

_MINUTES = {"hour": 60, "day": 1440}


class _Options(Struct, frozen=True):
    first: int | None = None
    letters: Word | None = None
    every_minutes: int | None = None
    every_of: str = "day"


def table(node: s.TableNode, scope: Scope) -> Table:
    """The table a node declares.

    Raises:
        InputError: it has a mistake that leaves no table.
    """
    before = len(scope.problems.found)
    options = apply_options(_Options(), node.options, _HANDLERS, scope.problems)
    if len(scope.problems.found) > before:  # its form is not known; say no more
        return Table(node.name.text, {}, node.span)
    _check_form(node, options)
    texts: list[tuple[Word | None, str, Word]]
    if options.letters is not None:
        texts = [(None, letter, options.letters) for letter in options.letters.text]
    else:
        texts = [(row.key, row.text.text, row.text) for row in node.rows or ()]
    made = Table(
        node.name.text,
        {},
        node.span,
        every_minutes=options.every_minutes,
        every_of=options.every_of,
    )
    if options.first is None and options.every_minutes is None:
        return _keyed(made, node, scope)
    return _counted(made, options.first or 0, texts, node)


def _check_form(node: s.TableNode, options: _Options) -> None:
    place, name = node.name.span, node.name.text
    if options.letters is not None and node.rows is not None:
        raise InputError.one(
            "conflicting-options",
            f'the table "{name}" has both letters and rows',
            options.letters.span,
            "keep one of them",
        )
    if options.letters is None and not node.rows:
        help = '{ 1 -> "A"  2 -> "B" }'
        raise InputError.one("empty", f'the table "{name}" has no rows', place, help)
    number = len(options.letters.text if options.letters is not None else node.rows or ())
    if number > MAX_ROWS:
        raise InputError.one(
            "too-many-rows",
            f'the table "{name}" has {number:,} rows, more than {MAX_ROWS:,}',
            place,
            "print the value itself, or part the table",
        )
    if options.every_minutes is not None and options.first is not None:
        help = "rows of a table by the time of day begin at midnight or at the full hour"
        raise InputError.one("conflicting-options", "leave out `from`", place, help)
    if options.letters is not None and options.first is None and options.every_minutes is None:
        help = f'write: table {name} from 1, letters "{options.letters.text[:20]}"'
        message = "say which number the first letter stands for"
        raise InputError.one("missing-word", message, options.letters.span, help)


def whole_key(text: str) -> str:
    """A key as tables keep it: whole numbers without leading zeros.

    >>> whole_key("007"), whole_key("A1")
    ('7', 'A1')
    """
    return text.lstrip("0") or "0" if re.fullmatch("[0-9]+", text) else text


def _keyed(made: Table, node: s.TableNode, scope: Scope) -> Table:
    rows: dict[str, str] = {}
    places: dict[str, Word] = {}
    other: str | None = None
    for row in node.rows or ():
        if scope.problems.full:
            break
        with scope.problems.catching():
            key = _key(row)
            written = "other" if key is None else f'"{key}"'
            if written in places:
                raise InputError.one(
                    "duplicate-key",
                    f"the key {written.strip(chr(34))} stands twice",
                    (row.key or row.text).span,
                    f"the first one is in line {places[written].span.line}",
                )
            places[written] = row.key or row.text
            if key is None:
                other = row.text.text
            else:
                rows[key] = row.text.text
    return structs.replace(made, rows=rows, other=other)


def _key(row: s.TableRow) -> str | None:
    """The key of a row, or None for ``other``."""
    if row.key is None:
        raise InputError.one(
            "missing-key",
            "this row has no key",
            row.span,
            f"write KEY -> {row.text.span.text}, or number the rows: table NAME from 1 {{ ... }}",
        )
    if row.key.quoted:
        return whole_key(row.key.text)
    if "." in row.key.text:
        message = f"{row.key.text} is not a whole number"
        raise InputError.one("bad-key", message, row.key.span, f'write "{row.key.text}" ->')
    return None if row.key.text == "other" else whole_key(row.key.text)


def _counted(
    made: Table, first: int, texts: list[tuple[Word | None, str, Word]], node: s.TableNode
) -> Table:
    """Rows numbered from ``first``; the last may be for all other keys."""
    rows: dict[str, str] = {}
    other: str | None = None
    for key, text, place in texts:
        if key is None:
            rows[str(first + len(rows))] = text
        elif key.text != "other" or key.quoted or made.every_minutes or other is not None:
            message = "the rows of this table are numbered; they have no keys of their own"
            raise InputError.one("unexpected-key", message, key.span, f"write {place.span.text}")
        else:
            other = text
    if made.every_minutes is not None:
        needed = _MINUTES[made.every_of] // made.every_minutes
        if len(rows) != needed:
            raise InputError.one(
                "wrong-number-of-rows",
                f"every {made.every_minutes} minutes of the {made.every_of} make {needed} rows, "
                f"but there are {len(rows)}",
                node.name.span,
            )
    return structs.replace(made, rows=rows, other=other)


def _from(options: _Options, reader: Reader) -> _Options:
    return structs.replace(options, first=reader.number("the first key", 0, MAX_NUMBER))


def _letters(options: _Options, reader: Reader) -> _Options:
    letters = reader.quoted("the letters")
    if not letters.text:
        raise InputError.one("empty", "there are no letters", letters.span)
    return structs.replace(options, letters=letters)


def _every(options: _Options, reader: Reader) -> _Options:
    place = reader.here
    amount = reader.number("the number of minutes or hours", 1, 1440)
    unit = reader.word("minute", "minutes", "hour", "hours")
    minutes = amount * (60 if unit.startswith("hour") else 1)
    reader.word("of")
    whole = reader.word("hour", "day")
    if _MINUTES[whole] % minutes:
        message = f"{minutes} minutes do not divide the {whole} into equal parts"
        raise InputError.one("bad-number", message, place)
    return structs.replace(options, every_minutes=minutes, every_of=whole)


_HANDLERS = {"from": _from, "letters": _letters, "every": _every}
