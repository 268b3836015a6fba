"""Resolving the examples a message carries (``expect at ... { ... }``)."""

from __future__ import annotations

from rasterc.diagnostics import Diagnostic, InputError, did_you_mean
from rasterc.source.declarations import Counter
from rasterc.source.message import Expect
from rasterc.source.pieces import Word
from rasterc.values.given.counters import value_of
from rasterc.values.model import Instant, ResolvedMessage
from rasterc.values.moment import Places
from rasterc.values.plan import Plan


def evaluate_expect(plan: Plan, expect: Expect) -> ResolvedMessage:
    """What the message prints under the conditions of one of its examples.

    A counter's plain number is its value (``case 42``); a quoted text is read in the counter's
    own digits (``case "00A2"``), leading zeros and blanks allowed.

    Raises:
        InputError: as `Plan.resolve` does, pointing at the example's conditions.
    """
    plan = plan.whole or plan
    counters: dict[str, int] = {}
    inputs: dict[str, str] = {}
    faults: list[Diagnostic] = []
    declared = plan.message.counters
    for name, word in expect.values.items():
        if name in plan.message.inputs:
            inputs[name] = word.text
        elif name not in declared:
            faults.append(_unknown(name, word, plan))
        elif (value := counter_value(declared[name], word.text, word.quoted)) is None:
            faults.append(_no_value(declared[name], word))
        else:
            counters[name] = value
    if faults:
        raise InputError(faults)
    spans = {name: word.span for name, word in expect.values.items()}
    places = Places(expect.at_span or expect.span, spans)
    return plan.resolve(Instant(expect.at, counters, inputs), places)


def counter_value(counter: Counter, text: str, quoted: bool) -> int | None:
    """A counter's value as people write it; None when it is none.

    Plain, it is a whole number; quoted, it is as printed, in the counter's own digits.
    """
    if quoted:
        return value_of(counter, text)
    plain = text.isascii() and text.isdigit() and len(text) <= 19
    return int(text) if plain else None


def _unknown(name: str, word: Word, plan: Plan) -> Diagnostic:
    known = (*plan.message.counters, *plan.message.inputs)
    message = f'the message has no counter or input "{name}"'
    help = did_you_mean(name, known) or "it declares none"
    return Diagnostic("unknown-name", message, word.span, help)


def _no_value(counter: Counter, word: Word) -> Diagnostic:
    message = f'"{word.text}" is no value of counter {counter.name}'
    help = f'write a whole number, or a quoted text in its digits "{counter.digits}"'
    return Diagnostic("bad-counter-value", message, word.span, help)
