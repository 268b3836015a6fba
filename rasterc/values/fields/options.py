"""Options of fields: what is done with a text before it is printed, in the order written."""

from __future__ import annotations

from typing import Protocol

from msgspec import Struct

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


class Upper(Struct, frozen=True):
    """Capitals, as the field's language writes them."""

    language: str

    def apply(self, text: str) -> str:
        """The text in capitals."""
        return casing.upper(text, self.language)


class Lower(Struct, frozen=True):
    """Small letters, as the field's language writes them."""

    language: str

    def apply(self, text: str) -> str:
        """The text in small letters."""
        return casing.lower(text, self.language)


class NoPoints(Struct, frozen=True):
    """Drops every point. (In a date pattern, points of names only: see `fields.ClockText`.)"""

    def apply(self, text: str) -> str:
        """The text without points."""
        return text.replace(".", "")


class First(Struct, frozen=True):
    """At most the first ``count`` characters."""

    count: int

    def apply(self, text: str) -> str:
        """The beginning of the text."""
        return text[: self.count]


class Last(Struct, frozen=True):
    """At most the last ``count`` characters."""

    count: int

    def apply(self, text: str) -> str:
        """The end of the text."""
        return text[-self.count :]


class Part(Struct, frozen=True):
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


class LookUp(Struct, frozen=True):
    """The text of a table for this key."""

    table: Table
    span: Span

    def apply(self, text: str) -> str:
        """The table's text.

        Raises:
            InputError: the table has no row for it.
        """
        return look_up(self.table, text, self.span)


class Pad(Struct, frozen=True):
    """Fills up to ``width`` characters on one side."""

    width: int
    on_left: bool
    fill: str

    def apply(self, text: str) -> str:
        """The text, filled up."""
        pad = text.rjust if self.on_left else text.ljust
        return pad(self.width, self.fill)
