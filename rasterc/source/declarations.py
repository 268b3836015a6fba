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


class ShortMonth(StrEnum):
    """What "one month after the 31st" means when the month has no such day."""

    LAST_DAY = "last-day"  # 31 Jan + 1 month = 28 or 29 Feb
    NEXT_DAY = "next-day"  # ... = 1 Mar
    CARRY = "carry"  # ... = 3 or 2 Mar: the days too many are carried over


class Unit(StrEnum):
    """Units of a clock's offsets. Minutes and hours are elapsed time, the others calendar steps."""

    MINUTE = "minute"
    HOUR = "hour"
    DAY = "day"
    WEEK = "week"
    MONTH = "month"
    YEAR = "year"

    @property
    def elapsed_minutes(self) -> int | None:
        """Minutes of the elapsed time it stands for; None for a calendar step."""
        return {Unit.MINUTE: 1, Unit.HOUR: 60}.get(self)


class Offset(Struct, frozen=True):
    """``+ 9 months``: ``amount`` is signed.

    ``column`` names the column of a product table that says how many, ``products.life``: the
    amount is then 1 or -1. Clocks of a plan have none (see `rasterc.values.rows`).
    """

    amount: int
    unit: Unit
    span: Span
    column: str | None = None


class Target(StrEnum):
    """Where ``to ...`` moves a date."""

    MONTH_START = "month start"
    MONTH_END = "month end"
    YEAR_START = "year start"
    YEAR_END = "year end"
    WEEKDAY = "weekday"  # the same day if it is that weekday, else the following one
    NEXT_WEEKDAY = "next weekday"  # strictly after
    PREVIOUS_WEEKDAY = "previous weekday"  # strictly before


class MoveTo(Struct, frozen=True):
    """``to month end``, ``to friday``. ``weekday`` counts from Monday = 0, None when not used."""

    target: Target
    weekday: int | None
    span: Span


Step = Offset | MoveTo


class Clock(Struct, frozen=True):
    """A clock. Exactly one of five kinds:

    - read from the instant: ``zone`` is set (``day_from_minutes`` is where its day starts);
    - derived from another clock: ``base`` names it;
    - the start of a shift: ``shift`` names it;
    - a fixed date: ``fixed`` is set;
    - a date that is typed: ``typed`` is set, and an input has its name.

    The second to the fourth may have ``steps``, applied in order.
    """

    name: str
    span: Span
    zone: str | None = None
    zone_span: Span | None = None
    day_from_minutes: int = 0
    base: str | None = None
    shift: str | None = None
    fixed: date | None = None
    typed: bool = False
    steps: tuple[Step, ...] = ()
    short_month: ShortMonth = ShortMonth.LAST_DAY
    short_month_span: Span | None = None  # where it is stated


class ShiftPart(Struct, frozen=True):
    """``"A" from 06:00 on mon to fri``: days of the shift's turn on which it begins, from 0."""

    label: str
    from_minutes: int
    days: tuple[int, ...]
    span: Span


MAX_TURN_DAYS = 400
"""Days of a roster: more than a year of them."""


class Turn(Struct, frozen=True):
    """The days after which a shift's parts come again: so many, a first of them on ``first``."""

    days: int
    first: date

    def day(self, day: date) -> int:
        """Which day of its turn a day is, from 0.

        >>> WEEK.day(date(2027, 1, 6))
        2
        """
        return (day - self.first).days % self.days


WEEK = Turn(7, date(1970, 1, 5))
"""The turn of shifts that go by the week: from Monday."""


class Shift(Struct, frozen=True):
    """Named parts of the day of a clock; each lasts until the next one begins.

    ``roster`` is its turn when its days are numbered; without it they are those of the week.
    """

    name: str
    clock: str
    parts: tuple[ShiftPart, ...]
    span: Span
    roster: Turn | None = None

    @property
    def turn(self) -> Turn:
        """The days after which its parts come again."""
        return self.roster or WEEK


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
