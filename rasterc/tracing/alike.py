"""What two versions share: values that both take, and the look of their texts."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.fonts.model import Font
from rasterc.source.declarations import Counter, Input
from rasterc.source.message import Message
from rasterc.source.quoting import composed
from rasterc.tracing.declared import look
from rasterc.tracing.differences import Side
from rasterc.tracing.given import Given
from rasterc.tracing.row_changes import read_otherwise, shared_key
from rasterc.values.plan import Plan


def other_values(old: Message, new: Message) -> Iterator[str]:
    """Names of counters and inputs of both messages whose values differ."""
    for name in old.counters:
        if name in new.counters and _counting(old.counters[name]) != _counting(new.counters[name]):
            yield f"counter {name}"
    for name in old.inputs:
        if name in new.inputs and _allowed(old.inputs[name]) != _allowed(new.inputs[name]):
            yield f"input {name}"
    yield from (f"table {name}" for name in read_otherwise(old, new))


def _counting(counter: Counter) -> object:
    return (
        counter.values, counter.repeat, counter.digits,
        counter.restart, counter.restart_of, counter.at_end,
    )  # fmt: skip


def _allowed(given: Input) -> object:
    return given.pattern, frozenset(given.choices), given.min_length, given.max_length


def same_look(old: Side, new: Side) -> bool:
    """Whether texts that are the same look the same."""
    if look(old.plan.message) != look(new.plan.message):
        return False
    if old.fonts is None or new.fonts is None:
        return True
    names = dict.fromkeys(line.font for line in old.plan.message.lines)
    return all(_drops(old.fonts[name]) == _drops(new.fonts[name]) for name in names)


def _drops(font: Font) -> object:
    """What a font prints, wherever it was read from."""
    return font.ascent, font.descent, font.spacing, dict(font.glyphs)


def shared_given(old: Plan, new: Plan, for_old: Given, for_new: Given) -> tuple[Given, Given]:
    """The values given for each version, and for the rest a value both have if there is one:
    the old version's first value or default if the new one takes it, else each its own."""
    return _given(old, old, for_old), _given(new, old, for_new)


def _given(own: Plan, old: Plan, given: Given) -> Given:
    counters, inputs = dict(given.counters), dict(given.inputs)
    for name, counter in own.message.counters.items():
        first = old.message.counters.get(name, counter).first
        if name not in counters:
            counters[name] = first if first in counter.values else counter.first
    for name, rule in own.inputs.items():
        before = old.message.inputs.get(name)
        text = before.default if before else None
        if text is None or rule.faults(composed(text), None):
            text = rule.input.default
        if text is None and any(table.by == name for table in own.message.products.values()):
            text = shared_key(rule.input, before)
        if name not in inputs and text is not None:
            inputs[name] = text
    return Given(counters, inputs)
