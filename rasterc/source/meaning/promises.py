"""What a message promises, ``require`` and ``expect``, and what it accepts, ``silence``."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime, timedelta, timezone

from rasterc.diagnostics import InputError, Span
from rasterc.source.declarations import Counter
from rasterc.source.meaning.clocks import date_of
from rasterc.source.meaning.phrases import MAX_NUMBER, time_of, whole_number
from rasterc.source.meaning.scope import Scope
from rasterc.source.message import Comparison, Expect, Require, Silence
from rasterc.source.pieces import Word
from rasterc.source.tree import syntax as s


def require(node: s.RequireNode) -> Require:
    """The limit a node states.

    Raises:
        InputError: its number is too long.
    """
    if len(node.limit.text) > 18:
        raise InputError.one("bad-number", "this number is too long", node.limit.span)
    return Require(
        node.measure,
        Comparison(node.comparison.text),
        float(node.limit.text),
        node.unit,
        node.span,
    )


def expect(
    node: s.ExpectNode, counters: Mapping[str, Counter], needs_at: bool, scope: Scope
) -> Expect:
    """The example a node gives. ``needs_at``: the message reads a clock.

    Raises:
        InputError: it has a mistake that leaves no example.
    """
    _refuse_quoted_moment(node, scope)
    moments = [c for c in node.conditions if isinstance(c, s.Moment)]
    values: dict[str, Word] = {}
    for condition in node.conditions:
        if isinstance(condition, s.Given):
            with scope.problems.catching():
                _add_value(condition, values, counters, scope)
    if len(moments) > 1:
        raise InputError.one("duplicate-option", "a second moment is given", moments[1].span)
    if not moments and needs_at:
        raise InputError.one(
            "missing-moment",
            "this example needs a moment, because the message reads a clock",
            node.span.part(0, len("expect")),
            "write for example: expect at 2028-02-29 05:59",
        )
    at = _moment(moments[0]) if moments else None
    place = _moment_span(moments[0]) if moments else None
    return Expect(at, values, node.lines, node.span, place)


def _refuse_quoted_moment(node: s.ExpectNode, scope: Scope) -> None:
    for given in node.conditions:
        if isinstance(given, s.Given) and given.name.text == "at" and "at" not in scope.nodes:
            help = "write it without quotes, like: at 2028-02-29 05:59"
            raise InputError.one(
                "missing-moment", "this is no date and time of day", given.value.span, help
            )


def silence(node: s.SilenceNode, block: Span | None) -> Silence:
    """What a node accepts, in a block or in the whole message.

    Raises:
        InputError: it gives no reason.
    """
    if not node.reason.text.strip():
        raise InputError.one(
            "no-reason",
            f'the silence of "{node.rule.text}" gives no reason',
            node.reason.span,
            "say why this is accepted, for whoever reads the message next",
        )
    return Silence(node.rule, node.reason.text, block, node.span)


def _moment(node: s.Moment) -> datetime:
    if node.word.text != "at":
        message = f'expected "at" before the date, but found "{node.word.text}"'
        raise InputError.one("unknown-option", message, node.word.span, 'did you mean "at"?')
    day = date_of(node.date)
    hour, minute, second = time_of(node.time)
    zone = _offset(node.offset) if node.offset else None
    return datetime(day.year, day.month, day.day, hour, minute, second, tzinfo=zone)


def _moment_span(node: s.Moment) -> Span:
    """The date and time, without "at"."""
    return Span(node.span.source, node.date.span.start, node.span.end)


def _offset(word: Word) -> timezone:
    if word.text == "Z":
        return UTC
    hours, minutes = int(word.text[1:3]), int(word.text[4:])
    if hours > 18 or minutes > 59:
        message = f"there is no offset {word.text}"
        raise InputError.one("bad-time", message, word.span, "offsets are like +01:00")
    away = timedelta(hours=hours, minutes=minutes)
    return timezone(-away if word.text[0] == "-" else away)


def _add_value(
    node: s.Given, values: dict[str, Word], counters: Mapping[str, Counter], scope: Scope
) -> None:
    name, value = node.name, node.value
    if name.text in values:
        raise InputError.one("duplicate-option", f'"{name.text}" is given twice', name.span)
    scope.need(name.text, name.span, "counter", "input")
    values[name.text] = value
    if isinstance(scope.nodes.get(name.text), s.InputNode):
        if not value.quoted:
            help = f'write "{value.text}"'
            message = f'the input "{name.text}" takes a text in double quotes'
            raise InputError.one("wrong-kind", message, value.span, help)
        return
    if value.quoted:
        return  # in the counter's own digits; read where values are
    number = whole_number(value, f'the counter "{name.text}"', 0, MAX_NUMBER)
    counter = counters.get(name.text)
    if counter is not None and number not in counter.values:
        message = f'the counter "{name.text}" never prints {number}'
        step = f" in steps of {counter.step}" if counter.step > 1 else ""
        help = f"it runs from {counter.first} to {counter.last}{step}"
        raise InputError.one("not-a-value", message, value.span, help)
