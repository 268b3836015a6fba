"""What a message declares: clocks, shifts, counters, inputs, tables, texts, check characters."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from enum import StrEnum
from math import inf

from msgspec import Struct

from rasterc.diagnostics import Span
from rasterc.source.pieces import Piece
from rasterc.source.products.sheet import Sheet
from rasterc.source.times import MAX_TURN_DAYS, Offset


class Restart(StrEnum):
    """When a counter starts again at its first value. The one place where restarts are declared.

    Date parts are named as in `rasterc.values.dates.parts`.

    Attributes:
        word: how it is written.
        of: what it belongs to: a "clock", a "shift", or "".
        parts: the parts of the production day that change when the counter restarts.
        shown_by: parts of a date or time that tell readers together that it has restarted; any of
            several such groups.
        longest_days: the longest time between two restarts, when no clock is changed; of a shift at
            most, whatever its parts.
    """

    word: str
    of: str
    parts: tuple[str, ...]
    shown_by: tuple[tuple[str, ...], ...]
    longest_days: float

    def __new__(
        cls,
        name: str,
        word: str,
        of: str,
        parts: tuple[str, ...],
        shown_by: tuple[tuple[str, ...], ...],
        longest_days: float,
    ) -> Restart:
        """A member with its properties."""
        made = str.__new__(cls, name)
        made._value_ = name
        made.word, made.of, made.parts = word, of, parts
        made.shown_by, made.longest_days = shown_by, longest_days
        return made

    NEVER = ("never", "never", "", (), (), inf)
    DAILY = (
        "daily",
        "daily",
        "clock",
        ("year", "month", "day"),
        (("day",), ("day of year",), ("week", "weekday")),
        1,
    )
    WEEKLY = (
        "weekly",
        "weekly",
        "clock",
        ("iso year", "week"),
        (("week",), ("day",), ("day of year",)),
        7,
    )
    MONTHLY = ("monthly", "monthly", "clock", ("year", "month"), (("month",), ("day of year",)), 31)
    YEARLY = ("yearly", "yearly", "clock", ("year",), (("year",), ("iso year",)), 366)
    SHIFT = ("shift", "per", "shift", (), (("hour",), ("hour of half",)), MAX_TURN_DAYS)


class AtEnd(StrEnum):
    """What a counter does after its last value. Never silent."""

    STOP = "stop"
    WRAP = "wrap"


DIGITS_36 = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"


class Counter(Struct, frozen=True):
    """A counter from ``first`` to ``last`` (below ``first`` when it counts down).

    ``step`` is the positive distance between values, each printed ``repeat`` times.
    ``digits`` is its alphabet: as many characters as its base.
    """

    name: str
    first: int
    last: int
    span: Span
    step: int = 1
    repeat: int = 1
    digits: str = DIGITS_36[:10]
    restart: Restart = Restart.NEVER
    restart_of: str | None = None  # name of a clock or a shift
    at_end: AtEnd = AtEnd.STOP

    @property
    def values(self) -> range:
        """Every value it takes, in order."""
        if self.last >= self.first:
            return range(self.first, self.last + 1, self.step)
        return range(self.first, self.last - 1, -self.step)


class DateLimit(Struct, frozen=True):
    """``not after packed + 3 years``, as ``within 3 years after packed`` has it: a typed date is on
    the last day of a clock or before it; on the first or after it when ``is_first``.

    The clock is ``base`` or the day ``fixed``, with ``steps``.
    """

    is_first: bool
    span: Span
    base: str | None = None
    fixed: date | None = None
    steps: tuple[Offset, ...] = ()


class DateForm(Struct, frozen=True):
    """How an input that is a date is written (``dd.MM.yy``), and the days it may be."""

    pattern: str
    span: Span
    limits: tuple[DateLimit, ...] = ()


class Input(Struct, frozen=True):
    """A text given at job start or read from a data row; a day when ``date`` is set.

    ``choices_from`` names the column of a product table that its choices are the texts of.
    """

    name: str
    span: Span
    pattern: str | None = None
    pattern_span: Span | None = None
    choices: tuple[str, ...] = ()
    min_length: int | None = None
    max_length: int | None = None
    default: str | None = None
    choices_from: str | None = None
    date: DateForm | None = None


class Table(Struct, frozen=True):
    """A user's table: text looked up by key.

    ``rows`` maps a key to a text; keys that are whole numbers are kept without leading zeros.
    ``every_minutes`` is set for a table read by the time of day: row k (key ``str(k)``) holds for
    the k-th part of that many minutes of ``every_of`` ("hour" or "day").
    ``other`` answers for keys that are not listed; None makes that an error.
    """

    name: str
    rows: Mapping[str, str]
    span: Span
    other: str | None = None
    every_minutes: int | None = None
    every_of: str = "day"


class Products(Struct, frozen=True):
    """A product table: a row of a CSV file, picked by the text of an input or a counter.

    Attributes:
        by: name of that input or counter.
        key: name of the column that is looked through for its text.
        keys: the texts of that column; of a counter without leading zeros.
        sheet: the file.
    """

    name: str
    by: str
    key: str
    keys: tuple[str, ...]
    sheet: Sheet
    span: Span

    def table(self, column: str) -> Table:
        """A column, as a table that is looked up by the key."""
        texts = dict(zip(self.keys, self.sheet.column(column), strict=True))
        return Table(f"{self.name}.{column}", texts, self.span)


class Text(Struct, frozen=True):
    """``text serial = "L" lot``: a name for pieces."""

    name: str
    pieces: tuple[Piece, ...]
    span: Span


class Check(Struct, frozen=True):
    """``check digit = gs1-mod10 of "3761" case(000000)``: check characters over pieces."""

    name: str
    algorithm: str
    algorithm_span: Span
    pieces: tuple[Piece, ...]
    span: Span
