"""Counters."""

from __future__ import annotations

from msgspec import Struct, structs

from rasterc.diagnostics import InputError, Span
from rasterc.source.declarations import DIGITS_36, AtEnd, Counter, Restart
from rasterc.source.meaning.phrases import MAX_NUMBER, Reader, apply_options, whole_number
from rasterc.source.meaning.scope import Scope
from rasterc.source.pieces import Word
from rasterc.source.tree import syntax as s


class _Options(Struct, frozen=True):
    step: int = 1
    repeat: int = 1
    base: Word | None = None
    digits: Word | None = None
    restart: Restart = Restart.NEVER
    restart_word: Word | None = None
    restart_of: Word | None = None
    at_end: AtEnd = AtEnd.STOP


def counter(node: s.CounterNode, scope: Scope) -> Counter:
    """The counter a node declares.

    Raises:
        InputError: it has a mistake that leaves no counter.
    """
    first = whole_number(node.first, "the first value", 0, MAX_NUMBER)
    last = whole_number(node.last, "the last value", 0, MAX_NUMBER)
    options = apply_options(_Options(), node.options, _HANDLERS, scope.problems)
    _check_direction(node, first, last)
    _check_last(node, first, last, options.step)
    restart_of = None
    with scope.problems.catching():
        restart_of = _restart_of(options, scope)
    return Counter(
        node.name.text,
        first,
        last,
        node.span,
        step=options.step,
        repeat=options.repeat,
        digits=_digits(options),
        restart=options.restart,
        restart_of=restart_of,
        at_end=options.at_end,
    )


def _check_direction(node: s.CounterNode, first: int, last: int) -> None:
    place = Span(node.span.source, node.first.span.start, node.last.span.end)
    if node.down and first < last:
        help = f"write: from {first} to {last}, or: from {last} down to {first}"
        raise InputError.one("direction", f"{first} down to {last} goes up", place, help)
    if not node.down and first > last:
        help = f"write: from {first} down to {last}"
        raise InputError.one("direction", f"{first} to {last} goes down", place, help)


def _check_last(node: s.CounterNode, first: int, last: int, step: int) -> None:
    rest = abs(last - first) % step
    if rest:
        reached = last + rest if node.down else last - rest
        raise InputError.one(
            "last-not-reached",
            f"with steps of {step} from {first} the counter never prints {last}",
            node.last.span,
            f"the last value it would print is {reached}: write that",
        )


def _digits(options: _Options) -> str:
    """The alphabet, from ``base``, ``digits`` or both."""
    base = whole_number(options.base, "the base", 2, 36) if options.base else None
    if options.digits is None:
        return DIGITS_36[: base or 10]
    digits, place = options.digits.text, options.digits.span
    twice = [c for c in dict.fromkeys(digits) if digits.count(c) > 1]
    if twice:
        raise InputError.one("bad-digits", f'the digit "{twice[0]}" stands twice', place)
    if not 2 <= len(digits) <= 36:
        raise InputError.one("bad-digits", f"there are {len(digits)} digits, not 2 to 36", place)
    if base not in (None, len(digits)):
        message = f"base {base} has {base} digits, but {len(digits)} are given"
        raise InputError.one("bad-digits", message, place, f"leave out base {base}")
    return digits


def _step(options: _Options, reader: Reader) -> _Options:
    return structs.replace(options, step=reader.number("the step", 1, MAX_NUMBER))


def _each(options: _Options, reader: Reader) -> _Options:
    repeat = reader.number("the number of times", 1, 1_000_000)
    reader.word("times", "time")
    return structs.replace(options, repeat=repeat)


def _base(options: _Options, reader: Reader) -> _Options:
    return structs.replace(options, base=reader.any("the base"))


def _digits_option(options: _Options, reader: Reader) -> _Options:
    return structs.replace(options, digits=reader.quoted("the digits"))


def _restart(options: _Options, reader: Reader) -> _Options:
    place = reader.here
    restarts = {restart.word: restart for restart in Restart}
    written = Word(reader.word(*restarts), place)
    restart = restarts[written.text]
    of: Word | None = None
    if restart.of == "shift":
        of = reader.name("a shift")
    elif restart.of and reader.more:
        reader.word("of")
        of = reader.name("a clock")
    return structs.replace(options, restart=restart, restart_word=written, restart_of=of)


def _restart_of(options: _Options, scope: Scope) -> str | None:
    """The clock or shift whose days, months, years or parts count."""
    if options.restart is Restart.NEVER or options.restart_word is None:
        return None
    if options.restart_of is None:
        return _only_clock(scope, options.restart_word.span)
    scope.need(options.restart_of.text, options.restart_of.span, options.restart.of)
    return options.restart_of.text


def _only_clock(scope: Scope, place: Span) -> str | None:
    """The one clock that is read from the instant."""
    clocks = scope.read_clocks
    if len(clocks) == 1:
        return clocks[0]
    if not scope.whole:
        return None
    if clocks:
        message = "there are several clocks; say whose days count"
        help = f"write `{place.text} of CLOCK`; clocks: {', '.join(clocks[:12])}"
    else:
        message = "there is no clock whose days could count"
        help = 'declare one: clock packed in "Europe/Dublin"'
    raise InputError.one("which-clock", message, place, help)


def _at(options: _Options, reader: Reader) -> _Options:
    reader.word("end")
    return structs.replace(options, at_end=AtEnd(reader.word("stop", "wrap")))


_HANDLERS = {
    "step": _step,
    "each": _each,
    "base": _base,
    "digits": _digits_option,
    "restart": _restart,
    "at": _at,
}
