"""From a declared counter and a moment to the series in which its prints are counted."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import TypeVar

from rasterc.diagnostics import InputError, did_you_mean
from rasterc.ledger.model import NO_END, Numbering, Series
from rasterc.source.declarations import AtEnd, Counter, Restart
from rasterc.values.given.counters import prints
from rasterc.values.model import Instant
from rasterc.values.moment import Moment
from rasterc.values.plan import Plan
from rasterc.values.restarts import RestartKey, restart_key

T = TypeVar("T")


def series_of(
    plan: Plan, counter: str, instant: Instant, *, per: Iterable[str] = (), name: str = ""
) -> Series:
    """The series that a counter of a message is in at an instant.

    Args:
        plan: the message.
        counter: its counter.
        instant: the moment of printing, when the counter restarts; the inputs named in ``per``.
        per: inputs each text of which has a series of its own.
        name: what the ledger calls the counter; MESSAGE.COUNTER when empty.

    Raises:
        InputError: there is no such counter or input, or the moment or an input is missing.
    """
    declared = _named("counter", counter, plan.message.counters)
    moment, inputs = plan.at(instant), sorted(set(per))
    for one in inputs:
        _named("input", one, plan.message.inputs)
    return Series(
        name or f"{plan.message.name}.{counter}",
        ", ".join(_part(one, moment) for one in inputs),
        epoch_of(declared.restart, restart_key(declared, moment)),
        " ".join([declared.restart.value, *(f"per {one}" for one in inputs)]),
        numbering_of(declared),
        min(prints(declared), NO_END) if declared.at_end is AtEnd.STOP else NO_END,
    )


def numbering_of(counter: Counter) -> Numbering:
    """Which number each print of a counter carries."""
    values = counter.values
    wraps = counter.at_end is AtEnd.WRAP
    return Numbering(
        values[0], values.step, counter.repeat, counter.digits, len(values) if wraps else None
    )


def epoch_of(restart: Restart, key: RestartKey) -> str:
    """A restart's key as text that sorts by time.

    >>> epoch_of(Restart.WEEKLY, (2027, 47)), epoch_of(Restart.SHIFT, (2027, 11, 25, 6, 0))
    ('2027-W47', '2027-11-25T06:00')
    """
    if restart is Restart.SHIFT:
        year, month, day, hour, minute = key
        return f"{year:04}-{month:02}-{day:02}T{hour:02}:{minute:02}"
    marks = ["W" if part == "week" else "" for part in restart.parts]
    texts = [f"{mark}{number:02}" for mark, number in zip(marks, key, strict=True)]
    return "-".join(text if at else f"{key[0]:04}" for at, text in enumerate(texts))


def _part(name: str, moment: Moment) -> str:
    return f"{name}={json.dumps(moment.input(name), ensure_ascii=False)}"


def _named(kind: str, name: str, known: Mapping[str, T]) -> T:
    if name not in known:
        said = f'the message has no {kind} "{name}"'
        help = did_you_mean(name, known) or f"it declares no {kind}"
        raise InputError.one("unknown-name", said, help=help)
    return known[name]
