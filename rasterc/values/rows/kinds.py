"""Which rows of product tables are alike: they agree in every cell that dates depend on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct, structs

from rasterc.diagnostics import Diagnostic
from rasterc.source.declarations import Counter, Input, Products, Table
from rasterc.source.meaning.tables import whole_key
from rasterc.source.message import Message
from rasterc.source.products.columns import word_faults
from rasterc.values.dates.languages import LANGUAGES
from rasterc.values.given.counters import text_of
from rasterc.values.rows.written import Cells, depends_on, languages_of, written

MAX_VALUES = 100_000
"""Values of a counter that picks rows that dates depend on."""

Taken = Input | Counter


class Kind(Struct, frozen=True):
    """Keys of one input or counter whose rows are alike.

    Attributes:
        name: of the input or counter.
        keys: the texts of the input, or what the counter's numbers are looked up by.
        cells: what the rows say.
        taken: the input or counter, with these keys alone.
    """

    name: str
    keys: tuple[str, ...]
    cells: Cells
    taken: Taken


def kinds_of(message: Message) -> list[list[Kind]]:
    """For each input or counter that picks rows dates depend on, the kinds of its rows."""
    columns: dict[str, list[str]] = {}
    for column in depends_on(message):
        table = message.products.get(column.partition(".")[0])
        if table is not None:
            columns.setdefault(table.by, []).append(column)
    return [list(_of_one(message, name, mine)) for name, mine in columns.items()]


def _of_one(message: Message, name: str, columns: Sequence[str]) -> Iterator[Kind]:
    tables = message.products
    rows = [_by_key(tables[column.partition(".")[0]], column) for column in columns]
    alike: dict[tuple[str, ...], list[str]] = {}
    for key in _keys(message, name):
        texts = tuple(row[key] for row in rows if key in row)
        if len(texts) == len(rows):
            alike.setdefault(texts, []).append(key)
    for texts, keys in alike.items():
        cells = dict(zip(columns, texts, strict=True))
        for taken in _taken(message, name, keys):
            yield Kind(name, tuple(keys), cells, taken)


def _keys(message: Message, name: str) -> Sequence[str]:
    counter = message.counters.get(name)
    if counter is None:
        return message.inputs[name].choices if name in message.inputs else ()
    return [key_of(counter, value) for value in counter.values[:MAX_VALUES]]


def key_of(counter: Counter, value: int) -> str:
    """What the row of a counter's value is looked up by."""
    return whole_key(text_of(counter, value))


def _by_key(table: Products, column: str) -> Mapping[str, str]:
    """The texts of a column; of whole numbers without leading zeros, so that equal ones agree."""
    texts = table.sheet.column(column.partition(".")[2])
    return dict(zip(table.keys, map(whole_key, texts), strict=True))


def _taken(message: Message, name: str, keys: Sequence[str]) -> Iterator[Taken]:
    """The input or counter with some keys alone; a counter once for each run of its values."""
    if name in message.inputs:
        given = message.inputs[name]
        default = given.default if given.default in keys else None
        yield structs.replace(given, choices=tuple(keys), default=default)
        return
    counter, wanted = message.counters[name], frozenset(keys)
    for run in _runs([v for v in counter.values if key_of(counter, v) in wanted], counter.values):
        yield structs.replace(counter, first=run[0], last=run[-1])


def _runs(values: Sequence[int], whole: range) -> Iterator[list[int]]:
    """Values of a range in runs that follow one another in it."""
    run: list[int] = []
    for value in values:
        if run and value != run[-1] + whole.step:
            yield run
            run = []
        run.append(value)
    if run:
        yield run


def language_faults(message: Message) -> Iterator[Diagnostic]:
    """Cells that are to be languages and are none."""
    for column in languages_of(message):
        table = message.products.get(column.partition(".")[0])
        if table is not None:
            yield from word_faults(table.sheet, column.partition(".")[2], LANGUAGES, "language")


def rowless(message: Message) -> Iterator[Diagnostic]:
    """Counters that dates depend on and that have values without a row."""
    for column in depends_on(message):
        table = message.products.get(column.partition(".")[0])
        counter = message.counters.get(table.by) if table is not None else None
        if table is None or counter is None:
            continue
        if len(counter.values) > MAX_VALUES:
            said = f"counter {counter.name} picks rows and has more than {MAX_VALUES:,} values"
            yield Diagnostic("too-large", said, counter.span, "end it at the last row")
            continue
        known = frozenset(table.keys)
        missing = next((v for v in counter.values if key_of(counter, v) not in known), None)
        if missing is not None:
            said = f"{column} has no row for {text_of(counter, missing)} of counter {counter.name}"
            yield Diagnostic("no-such-key", said, counter.span, "add it to the table")


def message_of(message: Message, kinds: Sequence[Kind]) -> Message:
    """The message of some kinds of rows, one for each input or counter."""
    cells = {column: text for kind in kinds for column, text in kind.cells.items()}
    inputs, counters, tables = {**message.inputs}, {**message.counters}, {**message.tables}
    for kind in kinds:
        if isinstance(kind.taken, Input):
            inputs[kind.name] = kind.taken
        else:
            counters[kind.name] = kind.taken
        for table in message.products.values():
            if table.by == kind.name:
                tables |= _narrowed(message, table, kind.keys)
    changed = structs.replace(message, inputs=inputs, counters=counters, tables=tables)
    return written(changed, cells)


def _narrowed(message: Message, table: Products, keys: Sequence[str]) -> dict[str, Table]:
    """The columns of a table that are printed, with the rows of some keys alone."""
    columns = (column for column in message.tables if column.startswith(f"{table.name}."))
    return {
        column: structs.replace(own, rows={key: own.rows[key] for key in keys if key in own.rows})
        for column in columns
        for own in [message.tables[column]]
    }
