"""What a ledger holds and what is asked of it.

A counter's prints are counted from 0 in each of its *series*: one stretch from restart to restart.
What is issued are prints; a `Numbering` says which number each of them carries.
"""

from __future__ import annotations

from collections.abc import Iterator
from enum import StrEnum
from typing import Annotated, NamedTuple

import msgspec
from msgspec import Meta, Struct

from rasterc.diagnostics import InputError
from rasterc.source.declarations import DIGITS_36

MOST_PRINTS = 10**15
"""The most prints of one reservation."""
NO_END = 10**18
"""The prints of a series that has no end; what a database can count."""


class Kind(StrEnum):
    """What an entry says of its prints."""

    RESERVE = "reserve"  # they belong to a job
    CONFIRM = "confirm"  # of those of a request, all from the first up to its last are printed
    VOID = "void"  # they will not be printed
    ADVANCE = "advance"  # they are passed over: nobody gets them


ISSUED = (Kind.RESERVE, Kind.ADVANCE)
"""Entries whose prints nobody else gets."""


class Head(NamedTuple):
    """The last entry: its number from 1, 0 in an empty ledger, and its hash."""

    seq: int
    hash: str


class Numbering(Struct, frozen=True):
    """Which number each print carries.

    Attributes:
        first: the number of the first print.
        step: from one number to the next; negative when it counts down.
        repeat: how many prints carry the same number.
        digits: the counter's digits, lowest first.
        round: how many different numbers there are before they begin again; None when they do not.
    """

    first: int = 1
    step: int = 1
    repeat: Annotated[int, Meta(ge=1)] = 1
    digits: Annotated[str, Meta(min_length=2)] = DIGITS_36[:10]
    round: Annotated[int, Meta(ge=1)] | None = None

    def number(self, print_: int) -> int:
        """The number of a print, which counts from 0.

        >>> [Numbering(first=10, step=5, repeat=2).number(print_) for print_ in range(5)]
        [10, 10, 15, 15, 20]
        """
        index = print_ // self.repeat
        return self.first + self.step * (index if self.round is None else index % self.round)

    def text(self, print_: int) -> str:
        """The number of a print in the counter's digits, without leading zeros."""
        number, base = self.number(print_), len(self.digits)
        text = self.digits[number % base]
        while number := number // base:
            text = self.digits[number % base] + text
        return text

    def prints_to(self, number: int, least: int = 0) -> int | None:
        """How many prints there are up to the last that carries a number; None when none does.

        Of numbers that begin again: up to the first time at which it is not less than ``least``.

        >>> Numbering(first=10, step=5, repeat=2).prints_to(15)
        4
        >>> Numbering(round=10).prints_to(3, least=27)
        33
        """
        index, rest = divmod(number - self.first, self.step)
        if rest or index < 0 or (self.round is not None and index >= self.round):
            return None
        prints = (index + 1) * self.repeat
        if self.round is None or prints >= least:
            return prints
        whole = self.round * self.repeat
        return prints + -(-(least - prints) // whole) * whole

    def __str__(self) -> str:
        """As a declaration has it.

        >>> str(Numbering(first=10, step=-5))
        'from 10 down, step 5, each 1 times, digits "0123456789"'
        """
        down, end = " down" * (self.step < 0), "" if self.round is None else ", at end wrap"
        return (
            f"from {self.first}{down}, step {abs(self.step)}, each {self.repeat} times, "
            f'digits "{self.digits}"{end}'
        )

    def encoded(self) -> str:
        """As the ledger keeps it."""
        return msgspec.json.encode(self).decode()


class Series(Struct, frozen=True):
    """Where prints are counted.

    Attributes:
        counter: the counter's name.
        part: which of several series that run side by side, in words.
        epoch: the stretch since its last restart, as text that sorts by time.
        form: what the series of this counter go by; all of them by the same.
        numbering: which number each print carries.
        limit: how many prints there are.
    """

    counter: str
    part: str = ""
    epoch: str = ""
    form: str = ""
    numbering: Numbering = Numbering()
    limit: int = NO_END

    @property
    def name(self) -> str:
        """The series as people see it."""
        return " ".join(filter(None, (self.counter, self.part, self.epoch)))


class Entry(Struct, frozen=True):
    """One line of the ledger; ``request`` is of the reservation that it belongs to.

    ``first`` and ``last`` are prints, counted from 0 in their series; ``rule`` is the numbering,
    encoded; ``job`` is what the numbers are for, or why something is done with them; ``at`` is in
    UTC; ``previous`` is the hash of the entry before.
    """

    seq: int
    kind: str
    request: str
    counter: str
    part: str
    epoch: str
    form: str
    rule: str
    first: int
    last: int
    job: str
    at: str
    previous: str
    hash: str

    @property
    def count(self) -> int:
        """How many prints."""
        return self.last - self.first + 1

    @property
    def numbering(self) -> Numbering:
        """Which number each print carries; raises `InputError` when it cannot be read."""
        try:
            return msgspec.json.decode(self.rule, type=Numbering)
        except msgspec.MsgspecError:
            raise self.unfit("its numbering cannot be read") from None

    def unfit(self, why: str) -> InputError:
        """The report that it cannot have been written so."""
        help = "rasterc ledger verify says more"
        return InputError.one("ledger-damaged", f"entry {self.seq}: {why}", help=help)

    @property
    def series(self) -> Series:
        """Where it belongs, as far as the entry says."""
        return Series(self.counter, self.part, self.epoch, self.form, self.numbering)


COLUMNS = Entry.__struct_fields__


class Range(Struct, frozen=True):
    """Prints that were issued to one job, and to no other.

    Attributes:
        request: what the reservation is known by.
        series: where the prints are counted.
        first, last: the prints, counted from 0 in their series.
        job: what they are for.
        at: when they were reserved, in UTC.
        seq, hash: the ledger's entry.
    """

    request: str
    series: Series
    first: int
    last: int
    job: str
    at: str
    seq: int
    hash: str

    @property
    def count(self) -> int:
        """How many prints."""
        return self.last - self.first + 1

    def numbers(self) -> Iterator[int]:
        """The number of each print."""
        return map(self.series.numbering.number, range(self.first, self.last + 1))


class Wanted(Struct, frozen=True):
    """What a store is asked to reserve; ``earlier``: also in a series before the newest."""

    request: str
    series: Series
    count: int
    job: str
    earlier: bool


class Draft(Struct, frozen=True):
    """What a store is asked to write down: an entry without what the store adds."""

    kind: Kind
    request: str
    series: Series
    first: int
    last: int
    job: str


class Why(StrEnum):
    """Why prints are not issued."""

    DOUBT = "doubt"  # this may not be the newest ledger
    VOID = "void"  # what the request got was declared void
    FORM = "form"  # the counter's series went by something else
    CLOSED = "closed"  # the series lies before one that was advanced
    EARLIER = "earlier"  # the series lies before the newest
    RULE = "rule"  # the series has another numbering
    ENDED = "ended"  # fewer are left


class Refused(Struct, frozen=True):
    """Why a store did not reserve: with the entry that tells, or the prints that are issued."""

    why: Why
    entry: Entry | None = None
    issued: int = 0
