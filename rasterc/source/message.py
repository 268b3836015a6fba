"""The typed message: what a source file says once its names and kinds are known.

Everything is frozen. Values are kept as the user wrote them where another room gives them their
meaning (date patterns, field options, check characters), together with the span, so that room can
still point at the place.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from rasterc.diagnostics import Span


@dataclass(frozen=True, slots=True)
class Word:
    """A word, number or quoted text inside options and arguments.

    ``text`` is the value (escapes of a quoted text are resolved); ``quoted`` tells ``"upper"``
    from ``upper``.
    """

    text: str
    span: Span
    quoted: bool = False


@dataclass(frozen=True, slots=True)
class Argument:
    """One comma-separated part of a field's parentheses.

    ``raw`` is the part as written, outer blanks stripped (a date pattern is read from it);
    ``words`` is the same split into words (an option is read from them).
    """

    raw: str
    words: tuple[Word, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class Literal:
    """Text printed as it stands. ``text`` has its escapes resolved."""

    text: str
    span: Span


@dataclass(frozen=True, slots=True)
class Field:
    """A declared name used in a line, with its arguments: ``best(MMM yyyy, upper)``."""

    name: str
    arguments: tuple[Argument, ...]
    span: Span


Piece = Literal | Field


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


@dataclass(frozen=True, slots=True)
class Offset:
    """``+ 9 months``: ``amount`` is signed."""

    amount: int
    unit: Unit
    span: Span


class Target(StrEnum):
    """Where ``to ...`` moves a date."""

    MONTH_START = "month start"
    MONTH_END = "month end"
    YEAR_START = "year start"
    YEAR_END = "year end"
    WEEKDAY = "weekday"  # the same day if it is that weekday, else the following one
    NEXT_WEEKDAY = "next weekday"  # strictly after
    PREVIOUS_WEEKDAY = "previous weekday"  # strictly before


@dataclass(frozen=True, slots=True)
class MoveTo:
    """``to month end``, ``to friday``. ``weekday`` counts from Monday = 0, None when not used."""

    target: Target
    weekday: int | None
    span: Span


Step = Offset | MoveTo


@dataclass(frozen=True, slots=True)
class Clock:
    """A clock. Exactly one of four kinds:

    - read from the instant: ``zone`` is set (``day_from_minutes`` is where its day starts);
    - derived from another clock: ``base`` names it;
    - the start of a shift: ``shift`` names it;
    - a fixed date: ``fixed`` is set.

    The last three may have ``steps``, applied in order.
    """

    name: str
    span: Span
    zone: str | None = None
    zone_span: Span | None = None
    day_from_minutes: int = 0
    base: str | None = None
    shift: str | None = None
    fixed: date | None = None
    steps: tuple[Step, ...] = ()
    short_month: ShortMonth = ShortMonth.LAST_DAY
    short_month_span: Span | None = None  # where it is stated


@dataclass(frozen=True, slots=True)
class ShiftPart:
    """``"A" from 06:00 on mon to fri``: weekdays on which it begins, Monday = 0."""

    label: str
    from_minutes: int
    weekdays: tuple[int, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class Shift:
    """Named parts of the day of a clock; each lasts until the next one begins."""

    name: str
    clock: str
    parts: tuple[ShiftPart, ...]
    span: Span


class Restart(StrEnum):
    """When a counter starts again at its first value."""

    NEVER = "never"
    DAILY = "daily"  # each production day of ``restart_of``
    MONTHLY = "monthly"
    YEARLY = "yearly"
    SHIFT = "shift"  # each shift of ``restart_of``


class AtEnd(StrEnum):
    """What a counter does after its last value. Never silent."""

    STOP = "stop"
    WRAP = "wrap"


DIGITS_36 = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True, slots=True)
class Counter:
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


@dataclass(frozen=True, slots=True)
class Input:
    """A text given at job start or read from a data row."""

    name: str
    span: Span
    pattern: str | None = None
    pattern_span: Span | None = None
    choices: tuple[str, ...] = ()
    min_length: int | None = None
    max_length: int | None = None
    default: str | None = None


@dataclass(frozen=True, slots=True)
class Table:
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


@dataclass(frozen=True, slots=True)
class Text:
    """``text serial = "L" lot``: a name for pieces."""

    name: str
    pieces: tuple[Piece, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class Check:
    """``check digit = gs1-mod10 of "3761" case(000000)``: check characters over pieces."""

    name: str
    algorithm: str
    algorithm_span: Span
    pieces: tuple[Piece, ...]
    span: Span


class Align(StrEnum):
    """Where a line stands in the width of its block, or a block's rows on the raster."""

    LEFT = "left"
    CENTER = "center"
    RIGHT = "right"


@dataclass(frozen=True, slots=True)
class Line:
    """One row of characters.

    Attributes:
        font: name of a font, or a path relative to the message file when it has a suffix.
        row: raster row of the line's lowest drop; None places it automatically.
        spacing: extra empty strokes between characters, beyond the font's own.
        bold: every stroke is printed this many times.
        wide: every stroke is followed by ``wide - 1`` empty ones.
        fixed: every character takes the width of the font's widest digit or letter A-Z.
        inverse: drops and gaps change places over the line's whole rows and length, with a border
            of one row and one stroke around it.
        tower: every character is turned a quarter to the left.
    """

    pieces: tuple[Piece, ...]
    span: Span
    font: str
    font_span: Span
    row: int | None = None
    align: Align = Align.LEFT
    spacing: int = 0
    bold: int = 1
    wide: int = 1
    fixed: bool = False
    inverse: bool = False
    tower: bool = False


@dataclass(frozen=True, slots=True)
class Picture:
    """A 1-bit picture file (PNG or PBM), path relative to the message file."""

    path: str
    span: Span
    row: int | None = None
    inverse: bool = False


@dataclass(frozen=True, slots=True)
class Block:
    """Lines stacked on the raster, or one picture; blocks stand side by side.

    ``gap`` is the number of empty strokes before it (0 before the first block unless written).
    """

    content: tuple[Line, ...] | Picture
    gap: int
    span: Span


class Comparison(StrEnum):
    """How a measure is held against its limit."""

    AT_MOST = "<="
    AT_LEAST = ">="
    LESS = "<"
    MORE = ">"
    EQUAL = "="


@dataclass(frozen=True, slots=True)
class Require:
    """``require length <= 60 mm``: the measure and unit are given their meaning by the checks."""

    measure: Word
    comparison: Comparison
    limit: float
    unit: Word | None
    span: Span


@dataclass(frozen=True, slots=True)
class Expect:
    """An example that must hold: at this instant the lines read so.

    ``at`` is naive when written without an offset; None when the message has no clock.
    ``values`` gives counters and inputs by name.
    """

    at: datetime | None
    values: Mapping[str, Word]
    lines: tuple[Literal, ...]
    span: Span
    at_span: Span | None = None


@dataclass(frozen=True, slots=True)
class Silence:
    """``silence look-alike because "..."``: findings of a rule that are known and accepted.

    ``block`` is the block in which it stands; None when it holds for the whole message.
    """

    rule: Word
    reason: str
    block: Span | None
    span: Span


@dataclass(frozen=True, slots=True)
class Gaps:
    """What is not known of a message with mistakes.

    Later steps look for more mistakes in such a message, and say nothing of what its gaps may
    explain.

    Attributes:
        kinds: names declared with a mistake, and what each declares: "clock", "table", ...; "" when
            that is not clear.
        any_name: whether every other name may be declared too, in a file that could not be read.
    """

    kinds: Mapping[str, str]
    any_name: bool = False

    def may_hold(self, name: str) -> bool:
        """Whether ``name`` may be declared, though it is not among the message's declarations."""
        return self.any_name or name in self.kinds


@dataclass(frozen=True, slots=True)
class Message:
    """A whole message. Mappings keep the order of the source.

    ``folder`` is where relative paths in it start. ``gaps`` is None unless its file has mistakes.
    """

    name: str
    raster: int
    language: str
    language_span: Span | None
    clocks: Mapping[str, Clock]
    shifts: Mapping[str, Shift]
    counters: Mapping[str, Counter]
    inputs: Mapping[str, Input]
    tables: Mapping[str, Table]
    texts: Mapping[str, Text]
    checks: Mapping[str, Check]
    blocks: tuple[Block, ...]
    requires: tuple[Require, ...]
    expects: tuple[Expect, ...]
    span: Span
    raster_span: Span
    folder: str = "."
    silences: tuple[Silence, ...] = ()
    gaps: Gaps | None = None

    def __repr__(self) -> str:
        """Its name and file."""
        return f"<Message {self.name} of {self.span.source.name}>"

    def in_doubt(self, name: str) -> bool:
        """Whether ``name`` is, or may be, declared with a mistake that has been reported."""
        return self.gaps is not None and self.gaps.may_hold(name)

    @property
    def lines(self) -> tuple[Line, ...]:
        """All lines, block by block, top to bottom."""
        return tuple(
            line for b in self.blocks if not isinstance(b.content, Picture) for line in b.content
        )
