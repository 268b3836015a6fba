"""Which rows of product tables rules look at: one of each kind that differs in what it prints."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence
from itertools import product
from math import prod

from rasterc.checks.printed.lead_words import plain_words, words_of_leads
from rasterc.source.message import Message
from rasterc.values import Instant, Plan
from rasterc.values.rows.kinds import MAX_VALUES, key_of

MAX_WHOLE = 50
"""Rows that are looked at when any text of them differs; each takes hundredths of a second."""

_DIGITS = 4
"""The digits of the shortest date with a year, or day and month."""

_Keys = Mapping[str, Sequence[str | int]]
Seen = Callable[[str], Hashable]
"""What of a printed text makes rows differ."""


def whole_text(text: str) -> Hashable:
    """All of it."""
    return text


def telling(text: str) -> Hashable:
    """The words of it that introduce dates, and what may be a date or the number of an item.

    What is left out tells something to the rules that go by all words alone.
    """
    words = tuple(word for word in plain_words(text) if word in words_of_leads())
    digits = sum(map(str.isdigit, text))
    numbered = digits >= _DIGITS or "(" in text  # as the identifiers of GS1 elements
    return bool(text), words, text if numbered else bool(digits)


def row_names(message: Message) -> tuple[str, ...]:
    """The inputs and counters that pick rows, each once."""
    picks = dict.fromkeys(table.by for table in message.products.values())
    return tuple(n for n in picks if n in message.counters or _choices(message, n))


def number_of_rows(plans: Iterable[Plan], seen: Seen) -> int:
    """How many rows there are to look at, over all plain messages."""
    return sum(prod(map(len, _kinds(plan.message, seen).values())) for plan in plans)


def row_instants(plan: Plan, given: Instant, seen: Seen) -> Iterator[Instant]:
    """An instant with one row of each kind that a plain message has, in the order of the table."""
    kinds = _kinds(plan.message, seen)
    for keys in product(*kinds.values()):
        picked = dict(zip(kinds, keys, strict=True))
        counters = {n: key for n, key in picked.items() if isinstance(key, int)}
        inputs = {n: key for n, key in picked.items() if isinstance(key, str)}
        yield Instant(given.when, {**given.counters, **counters}, {**given.inputs, **inputs})


def _kinds(message: Message, seen: Seen) -> _Keys:
    """The first key of each kind of row, by the input or counter that picks it."""
    return {name: _of_one(message, name, seen) for name in row_names(message)}


def _of_one(message: Message, name: str, seen: Seen) -> Sequence[str | int]:
    columns = list(_printed(message, name))
    alike: dict[tuple[Hashable, ...], str | int] = {}
    for key, value in _keys(message, name):
        alike.setdefault(tuple(seen(rows.get(key, "")) for rows in columns), value)
    return tuple(alike.values())


def _printed(message: Message, name: str) -> Iterator[Mapping[str, str]]:
    """The columns that are printed of the tables that an input or counter picks from."""
    for table in message.products.values():
        if table.by == name:
            prefix = f"{table.name}."
            yield from (own.rows for n, own in message.tables.items() if n.startswith(prefix))


def _keys(message: Message, name: str) -> Iterator[tuple[str, str | int]]:
    """What rows are looked up by, and the values that do it."""
    counter = message.counters.get(name)
    if counter is not None:
        yield from ((key_of(counter, value), value) for value in counter.values[:MAX_VALUES])
    else:
        yield from ((text, text) for text in _choices(message, name))


def _choices(message: Message, name: str) -> Sequence[str]:
    return message.inputs[name].choices if name in message.inputs else ()
