"""Product tables: ``table products from "products.csv" by sku``, and the columns of them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec import Struct, structs

from rasterc.diagnostics import InputError, Span, did_you_mean
from rasterc.source.declarations import Input, Products
from rasterc.source.meaning.phrases import Reader, apply_options
from rasterc.source.meaning.scope import Problems, Scope
from rasterc.source.meaning.tables import whole_key
from rasterc.source.pieces import Argument, Field, Piece, Word
from rasterc.source.products.columns import key_faults, text_faults
from rasterc.source.products.sheet import Sheet
from rasterc.source.tree import syntax as s


class FileWords(Struct, frozen=True):
    """How a product table is declared.

    Attributes:
        path: the file.
        by: the input or counter that picks the row.
        key: the column that is looked through for it; named as ``by`` when None.
        delimiter: what stands between cells.
    """

    path: Word | None = None
    by: Word | None = None
    key: Word | None = None
    delimiter: str = ","


def table_of(column: str) -> str:
    """The table of a column.

    >>> table_of("products.life"), table_of("lot")
    ('products', 'lot')
    """
    return column.partition(".")[0]


def is_from_file(node: object) -> bool:
    """Whether a declaration is a table in a file."""
    if not isinstance(node, s.TableNode) or not node.options:
        return False
    first, *rest = node.options[0].words
    return first.text == "from" and not first.quoted and bool(rest) and rest[0].quoted


def file_words(node: s.TableNode, problems: Problems) -> FileWords:
    """What a declaration says of the file; wrong options are reported."""
    return apply_options(FileWords(), node.options, _HANDLERS, problems)


def products(node: s.TableNode, scope: Scope) -> Products:
    """The product table a node declares.

    Raises:
        InputError: it has a mistake that leaves no table.
    """
    words = file_words(node, scope.problems)
    if node.rows is not None:
        said = f'the table "{node.name.text}" is read from a file and has rows of its own'
        raise InputError.one("conflicting-options", said, node.name.span, "keep one of them")
    if words.by is None:
        help = f"name the input or counter: table {node.name.text} from ... by sku"
        raise InputError.one("missing-word", "what picks a row?", node.name.span, help)
    scope.need(words.by.text, words.by.span, "input", "counter")
    sheet = scope.sheets.get(node.span)
    if sheet is None:
        raise InputError(())  # reported where it was read
    by_counter = isinstance(scope.nodes.get(words.by.text), s.CounterNode)
    key = _key(words, sheet)
    texts = sheet.column(key)
    keys = tuple(map(whole_key, texts)) if by_counter else texts
    faults = key_faults(sheet, key, keys)
    if faults:
        raise InputError(faults)
    return Products(node.name.text, words.by.text, key, keys, sheet, node.span)


def _key(words: FileWords, sheet: Sheet) -> str:
    """The column that holds the keys; raises `InputError`."""
    assert words.by is not None
    wanted = words.key or words.by
    if wanted.text in sheet.header:
        return wanted.text
    help = _nearest(wanted.text, sheet)
    if words.key is None:
        help = f'say which column holds the keys: key "{sheet.header[0]}"'
    if len(sheet.header) == 1 and (other := re.search("[;\t|]", sheet.header[0])):
        help = f"is the delimiter right? Name it: {_SEPARATED[other[0]]}"
    raise _no_column(wanted.text, wanted.span, sheet, help)


_SEPARATED = {"\t": "separated by tab", ";": 'separated by ";"', "|": 'separated by "|"'}


def _nearest(name: str, sheet: Sheet) -> str:
    shown = ", ".join(sheet.header[:12])
    return did_you_mean(name, sheet.header) or f"columns: {shown}"


def _no_column(name: str, place: Span, sheet: Sheet, help: str) -> InputError:
    said = f'{sheet.source.name} has no column "{name}"'
    return InputError.one("unknown-column", said, place, help)


def sheet_of(column: Word, scope: Scope) -> Sheet | None:
    """The table that a column named in the message is of; None when that is in doubt.

    Raises:
        InputError: the table, or the column in it, is not there.
    """
    table, _, name = column.text.partition(".")
    if table in scope.problems.undeclared:
        raise InputError(())
    scope.need(table, column.span.part(0, len(table)), "table")
    node = scope.nodes.get(table)
    if node is not None and not is_from_file(node):
        said = f'the table "{table}" has no columns'
        help = f"look it up by a field: NAME(table {table})"
        raise InputError.one("wrong-kind", said, column.span, help)
    sheet = scope.sheets.get(node.span) if node is not None else None
    if sheet is not None and name not in sheet.header:
        raise _no_column(name, column.span, sheet, _nearest(name, sheet))
    return sheet


def check_text(column: Word, scope: Scope) -> None:
    """Make sure that the texts of a column can be printed; raises `InputError`."""
    sheet = sheet_of(column, scope)
    faults = text_faults(sheet, column.text.partition(".")[2]) if sheet else []
    if faults:
        raise InputError(faults)


def columns_in(pieces: Iterable[Piece]) -> Iterator[str]:
    """The columns that pieces print, without those that only options name."""
    for piece in pieces:
        if isinstance(piece, Field) and "." in piece.name:
            yield piece.name


def language_column(argument: Argument) -> Word | None:
    """The column that ``in products.language`` names."""
    words = argument.words
    if len(words) == 2 and words[0].text == "in" and "." in words[1].text:
        return None if words[0].quoted or words[1].quoted else words[1]
    return None


def with_keys(given: Input, tables: Mapping[str, Products], problems: Problems) -> Input:
    """An input that takes the texts of a column, or the keys of tables that it picks rows of."""
    if given.choices_from is not None and table_of(given.choices_from) in tables:
        table, _, column = given.choices_from.partition(".")
        texts = dict.fromkeys(tables[table].sheet.column(column))
        given = structs.replace(given, choices=tuple(filter(None, texts)))
    picked = [table.keys for table in tables.values() if table.by == given.name]
    if picked:
        with problems.catching():
            return structs.replace(given, choices=tuple(_keys(given, picked)), pattern=None)
    return given


def _keys(given: Input, tables: Sequence[Sequence[str]]) -> list[str]:
    """The texts of an input that pick a row of each table; raises `InputError`."""
    keys = list(tables[0])
    for other in map(frozenset, tables[1:]):
        keys = [key for key in keys if key in other]
    if given.pattern is not None:
        said = f'the input "{given.name}" picks rows: its texts are the keys of the table'
        raise InputError.one("conflicting-options", said, given.pattern_span, "leave this out")
    if given.choices:
        known = frozenset(keys)
        for choice in given.choices:
            if choice not in known:
                said = f'the choice "{choice}" of input "{given.name}" has no row in its table'
                raise InputError.one("no-such-key", said, given.span, did_you_mean(choice, keys))
        keys = [*given.choices]
    if not keys:
        said = f'no text of input "{given.name}" is a key of all its tables'
        raise InputError.one("no-such-key", said, given.span, "are these the right columns?")
    return keys


def _from(words: FileWords, reader: Reader) -> FileWords:
    path = reader.quoted("the name of a CSV file")
    reader.word("by")
    return structs.replace(words, path=path, by=reader.name("an input or a counter"))


def _key_option(words: FileWords, reader: Reader) -> FileWords:
    return structs.replace(words, key=reader.any("the name of a column"))


def _separated(words: FileWords, reader: Reader) -> FileWords:
    reader.word("by")
    if reader.sees("tab"):
        reader.word("tab")
        return structs.replace(words, delimiter="\t")
    delimiter = reader.quoted("one character")
    if not re.fullmatch(r'[^"\w\s\\]', delimiter.text):
        said = "cells are separated by one character that is no letter, digit, quote or blank"
        raise InputError.one("bad-delimiter", said, delimiter.span, 'separated by ";", or by tab')
    return structs.replace(words, delimiter=delimiter.text)


_HANDLERS = {"from": _from, "key": _key_option, "separated": _separated}
