"""Numbers on a line whose length varies, and what stands beside them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rasterc.checks.printed.elements import longest_input
from rasterc.checks.printed.tokens import PrintedLine, Token, printed_lines
from rasterc.checks.subject import Subject
from rasterc.source.declarations import Counter
from rasterc.values.fields.kinds import CounterText, InputText
from rasterc.values.fields.options import First, Last, LookUp, Pad
from rasterc.values.fields.options import Part as Cut
from rasterc.values.given.counters import text_of, widest
from rasterc.values.given.regex import CharSet, Choice, Node, Repeat, Sequence, parse_regex

_ONE_OR_TWO = frozenset("dMLwHhKkms")
_DIGITS = frozenset("0123456789")
_FIXING = (First, Last, LookUp, Pad, Cut)


@dataclass(frozen=True, slots=True)
class Number:
    """A number whose length varies, and the characters it is written in.

    ``touches`` is what stands directly before or after it and can be a character of a number;
    ``beside`` whether one of these is of varying length too.
    """

    token: Token
    touches: Token
    beside: bool


def named(token: Token) -> str:
    """What a token is, not what it prints now: that is another in each print."""
    if token.field is None:
        return f'"{token.text}"'
    return f"{token.field.name}({token.letter})" if token.letter else token.field.name


def numbers_that_touch(subject: Subject) -> Iterator[Number]:
    """Every number of varying length with a digit directly before or after it."""
    for line in printed_lines(subject):
        yield from _on(line)


def _on(line: PrintedLine) -> Iterator[Number]:
    tokens = [token for token in line.tokens if token.text or token.field]
    for index, token in enumerate(tokens):
        digits = _digits_of(token)
        if not _varies(token) or not digits:
            continue
        before = [tokens[index - 1]] if index and _can(tokens[index - 1], digits, last=True) else []
        after = tokens[index + 1 : index + 2]
        after = after if after and _can(after[0], digits, last=False) else []
        if beside := [*before, *after]:
            yield Number(token, beside[0], any(map(_varies, beside)))


def _digits_of(token: Token) -> frozenset[str]:
    """The digits a number is written in; none of what is no number."""
    source = token.field.source if token.field else None
    if isinstance(source, CounterText):
        return frozenset(source.counter.digits)
    if token.is_number:
        return _DIGITS
    return _DIGITS if isinstance(source, InputText) and _ends_in_digit(token) else frozenset()


def _ends_in_digit(token: Token) -> bool:
    return _can(token, _DIGITS, last=True)


def _varies(token: Token) -> bool:
    """Whether it prints more characters at one time than at another."""
    field = token.field
    if field is None or any(isinstance(option, _FIXING) for option in field.options):
        return False
    source = field.source
    if token.letter:
        short = token.count == 1 and token.letter in _ONE_OR_TWO
        return token.is_number and (short or (token.letter == "D" and token.count < 3))
    if isinstance(source, CounterText):
        least, most = _lengths(source.counter)
        return max(source.width, least) < most
    if isinstance(source, InputText):
        return shortest_input(source) < longest_input(source.rule)
    return False


def _lengths(counter: Counter) -> tuple[int, int]:
    values = counter.values
    return min(len(text_of(counter, v)) for v in (values[0], values[-1])), widest(counter)


def shortest_input(source: InputText) -> int:
    """The fewest characters an input can have."""
    declared = source.rule.input
    if declared.choices:
        return min(map(len, declared.choices))
    least = declared.min_length or 0
    return (
        least if declared.pattern is None else max(least, _least(parse_regex(declared.pattern)[0]))
    )


def _least(node: Node) -> int:
    match node:
        case CharSet():
            return 1
        case Sequence(items):
            return sum(map(_least, items))
        case Choice(branches):
            return min(map(_least, branches), default=0)
        case Repeat(item, fewest, _):
            return fewest * _least(item)


def _can(token: Token, digits: frozenset[str], *, last: bool) -> bool:
    """Whether its last, or first, character can be one of these."""
    source = token.field.source if token.field else None
    if isinstance(source, InputText) and token.field and not token.field.options:
        return not digits.isdisjoint(edge_characters(source, last=last))
    if isinstance(source, CounterText):
        return not digits.isdisjoint(source.counter.digits)
    text = token.text
    return bool(text) and text[-1 if last else 0] in digits


def edge_characters(source: InputText, *, last: bool) -> frozenset[str]:
    """The printable ASCII characters that an input can end with, or begin with."""
    declared = source.rule.input
    if declared.choices:
        return frozenset(text[-1 if last else 0] for text in declared.choices if text)
    if declared.pattern is None:
        return _DIGITS
    return _edge(parse_regex(declared.pattern)[0], last=last)


def _edge(node: Node, *, last: bool) -> frozenset[str]:
    match node:
        case CharSet():
            return frozenset(char for char in map(chr, range(0x21, 0x7F)) if char in node)
        case Choice(branches):
            return frozenset[str]().union(*(_edge(branch, last=last) for branch in branches))
        case Repeat(item, _, _):
            return _edge(item, last=last)
        case Sequence(items):
            found: frozenset[str] = frozenset()
            for item in reversed(items) if last else items:
                found |= _edge(item, last=last)
                if _least(item):
                    break
            return found
