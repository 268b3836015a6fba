"""Options of fields: what is done with a text before it is printed, in the order written."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from rasterc.diagnostics import InputError, Span
from rasterc.source.declarations import Table
from rasterc.values.fields import casing
from rasterc.values.given.tables import look_up


class Option(Protocol):
    """A step from text to text."""

    def apply(self, text: str) -> str:
        """The text after this step.

        Raises:
            InputError: the text cannot take it.
        """


@dataclass(frozen=True, slots=True)
class Upper:
    """Capitals, as the field's language writes them."""

    language: str

    def apply(self, text: str) -> str:
        """The text in capitals."""
        return casing.upper(text, self.language)


@dataclass(frozen=True, slots=True)
class Lower:
    """Small letters, as the field's language writes them."""

    language: str

    def apply(self, text: str) -> str:
        """The text in small letters."""
        return casing.lower(text, self.language)


@dataclass(frozen=True, slots=True)
class NoPoints:
    """Drops every point. (In a date pattern, points of names only: see `fields.ClockText`.)"""

    def apply(self, text: str) -> str:
        """The text without points."""
        return text.replace(".", "")


@dataclass(frozen=True, slots=True)
class First:
    """At most the first ``count`` characters."""

    count: int

    def apply(self, text: str) -> str:
        """The beginning of the text."""
        return text[: self.count]


@dataclass(frozen=True, slots=True)
class Last:
    """At most the last ``count`` characters."""

    count: int

    def apply(self, text: str) -> str:
        """The end of the text."""
        return text[-self.count :]


@dataclass(frozen=True, slots=True)
class Part:
    """Characters ``first`` to ``last``, both counted from 1; all of them must be there."""

    first: int
    last: int
    span: Span

    def apply(self, text: str) -> str:
        """The part of the text.

        Raises:
            InputError: the text is shorter than ``last``.
        """
        if len(text) < self.last:
            message = f'"{text}" has only {len(text)} characters, no character {self.last}'
            help = "ask for characters it has, or for `last N`, which takes what is there"
            raise InputError.one("text-too-short", message, self.span, help)
        return text[self.first - 1 : self.last]


@dataclass(frozen=True, slots=True)
class LookUp:
    """The text of a table for this key."""

    table: Table
    span: Span

    def apply(self, text: str) -> str:
        """The table's text.

        Raises:
            InputError: the table has no row for it.
        """
        return look_up(self.table, text, self.span)


@dataclass(frozen=True, slots=True)
class Pad:
    """Fills up to ``width`` characters on one side."""

    width: int
    on_left: bool
    fill: str

    def apply(self, text: str) -> str:
        """The text, filled up."""
        pad = text.rjust if self.on_left else text.ljust
        return pad(self.width, self.fill)
