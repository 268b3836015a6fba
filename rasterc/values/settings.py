"""Values as people write them on a command line or in a plant file: ``case=42``."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from rasterc.diagnostics import Diagnostic, InputError, did_you_mean

if TYPE_CHECKING:
    from rasterc.source.message import Message
    from rasterc.values.model import Instant


def settable(messages: Iterable[Message]) -> frozenset[str]:
    """The counters and inputs of all messages."""
    return frozenset(name for one in messages for name in (*one.counters, *one.inputs))


def unknown_settings(pairs: Iterable[str], known: Collection[str]) -> Iterator[Diagnostic]:
    """Settings that no counter and no input is called by."""
    for name in pairs:
        if name not in known:
            message = f'--set {name}=...: no counter or input is called "{name}"'
            help = did_you_mean(name, known) or "the messages have no counter and no input"
            yield Diagnostic("unknown-name", message, help=help)


def split_settings(settings: Sequence[str]) -> tuple[dict[str, str], list[Diagnostic]]:
    """``["case=42"]`` as names and values, and what is wrong with them."""
    pairs: dict[str, str] = {}
    faults: list[Diagnostic] = []
    for setting in settings:
        name, equals, value = setting.partition("=")
        if not equals or not name.strip():
            faults.append(
                Diagnostic(
                    "bad-setting", f'--set "{setting}" is not NAME=VALUE', help="--set case=42"
                )
            )
        elif name.strip() in pairs:
            faults.append(
                Diagnostic(
                    "bad-setting", f"--set {name.strip()} is given twice", help="keep one of them"
                )
            )
        else:
            pairs[name.strip()] = value
    return pairs, faults


def instant_of(message: Message, when: datetime | None, pairs: Mapping[str, str]) -> Instant:
    """The instant for one message: settings it does not know belong to another of the file.

    Raises:
        InputError: a counter's setting is no number in its digits.
    """
    from rasterc.values.expects import counter_value
    from rasterc.values.model import Instant

    counters: dict[str, int] = {}
    faults: list[Diagnostic] = []
    for name, counter in message.counters.items():
        if name not in pairs:
            continue
        text = pairs[name].strip()
        quoted = len(text) > 1 and text[0] == text[-1] == '"'
        value = counter_value(counter, text.strip('"') if quoted else text, quoted)
        if value is None:
            said = f'--set {name}={pairs[name]}: no value of counter "{name}"'
            help = f"write a whole number, or as printed in quotes: --set '{name}=\"...\"'"
            faults.append(Diagnostic("bad-counter-value", said, counter.span, help))
        else:
            counters[name] = value
    if faults:
        raise InputError(faults)
    return Instant(when, counters, {n: pairs[n] for n in message.inputs if n in pairs})
