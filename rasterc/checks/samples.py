"""A text for every input that is given none: what a check over all instants is made with."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from rasterc.checks.printed.elements import longest_input
from rasterc.diagnostics import Diagnostic, InputError
from rasterc.source.message import Message
from rasterc.values import Instant, Plan
from rasterc.values.given.inputs import InputRule
from rasterc.values.given.regex import CharSet, Choice, Node, Repeat, Sequence, parse_regex
from rasterc.values.moved import with_dates

_FREE = 8  # characters of an input that may be anything
_PLAIN = [chr(code) for code in range(0x30, 0x7F)]


def sample_inputs(
    plan: Plan, given: Mapping[str, str], when: datetime | None = None
) -> dict[str, str]:
    """The inputs given, and for the others their default, an `expect`'s text, or a long one.

    Of a typed date it is a day that it may be at the moment ``when``.

    Raises:
        InputError: for every input for which no text could be made up.
    """
    others = ((n, rule) for n, rule in plan.inputs.items() if rule.date is None and n not in given)
    made = {name: text for name, rule in others if (text := _text(rule, plan)) is not None}
    inputs = {**made, **given}
    inputs |= _dates(plan, inputs, when)  # after the others, by which limits may be counted
    faults: list[Diagnostic] = []
    for name, rule in plan.inputs.items():
        if name not in inputs and rule.input.default is None:
            message = f'no text could be made up for input "{name}"'
            faults.append(
                Diagnostic("input-missing", message, rule.input.span, f"give one: --set {name}=...")
            )
    if faults:
        raise InputError(faults)
    return inputs


def _text(rule: InputRule, plan: Plan) -> str | None:
    """A text for an input without a default; None when none can be made up, or it has one."""
    if rule.input.default is not None:
        return None
    return next((t for t in _candidates(rule, plan.message) if not rule.faults(t, None)), None)


def _dates(plan: Plan, given: Mapping[str, str], when: datetime | None) -> Mapping[str, str]:
    """The day of an `expect`, or the nearest one allowed, of each date that is not given."""
    expected = {
        name: expect.values[name].text
        for name in plan.dates
        for expect in plan.message.expects
        if name in expect.values
    }
    moved = with_dates(plan, Instant(when, {}, {**expected, **given}), given).inputs
    return {name: text for name, text in moved.items() if name in plan.dates}


def _candidates(rule: InputRule, message: Message) -> list[str]:
    """Texts that may do, the best first."""
    declared = rule.input
    examples = [e.values[declared.name].text for e in message.expects if declared.name in e.values]
    longest = longest_input(rule)
    made = "8" * (longest if declared.min_length is not None else _FREE)
    if declared.pattern is None:
        return [*examples, *sorted(declared.choices, key=len, reverse=True), made]
    tree, _ = parse_regex(declared.pattern)
    return [*examples, *(_match(tree, longest, most) for most in (True, False))]


def _match(node: Node, limit: int, most: bool) -> str:
    """A text that a pattern matches, with as many or as few repeats as it allows."""
    match node:
        case CharSet(ranges, negated):
            return next((c for c in _PLAIN if c in node), "?") if negated else ranges[0][0]
        case Sequence(items):
            return "".join(_match(item, limit, most) for item in items)
        case Choice(branches):
            texts = [_match(branch, limit, most) for branch in branches]
            return max(texts, key=len) if most else min(texts, key=len)
        case Repeat(item, least, greatest):
            times = greatest if most and greatest is not None else max(least, int(most))
            return _match(item, limit, most) * min(times, limit)
