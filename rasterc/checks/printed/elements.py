"""The elements of a GS1 code in plain text: an application identifier in brackets, and its data."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from rasterc.checks.printed.tokens import PrintedLine, Token, printed_lines
from rasterc.checks.subject import Subject, once
from rasterc.diagnostics import Span
from rasterc.values.fields.kinds import CounterText, InputText
from rasterc.values.given.counters import widest
from rasterc.values.given.inputs import InputRule
from rasterc.values.given.regex import CharSet, Choice, Node, Repeat, Sequence, parse_regex, walk

_IDENTIFIER = re.compile(r"\(([0-9]{2,4})\)")


@dataclass(frozen=True, slots=True)
class Element:
    """``(17)280831``: identifier, data as printed, and the tokens that print the data."""

    identifier: str
    data: str
    tokens: tuple[Token, ...]
    span: Span

    @property
    def longest(self) -> int:
        """The most characters its data can have, over all inputs and counter values."""
        return sum(map(_longest, self.tokens)) - (
            sum(len(token.text) for token in self.tokens) - len(self.data)
        )

    def foreign(self, known: str) -> str:
        """Printable ASCII characters that its data has or can have beyond ``known``."""
        found = [char for char in self.data if char not in known]
        for token in self.tokens:
            found += [char for char in _allowed(token) if char not in known]
        return "".join(dict.fromkeys(found))


@once
def elements(subject: Subject) -> tuple[Element, ...]:
    """The elements of all lines."""
    return tuple(element for line in printed_lines(subject) for element in _elements(line))


def _elements(line: PrintedLine) -> Iterator[Element]:
    owners = [index for index, token in enumerate(line.tokens) for _ in token.text]
    found = list(_IDENTIFIER.finditer(line.text))
    ends = [*(match.start() for match in found), len(line.text)][1:]
    for match, end in zip(found, ends, strict=True):
        data = line.text[match.end() : _end_of(line, match.end(), end, owners)].rstrip()
        own = dict.fromkeys(owners[match.end() : match.end() + len(data)])
        tokens = tuple(line.tokens[index] for index in own)
        span = tokens[0].span if tokens else line.tokens[owners[match.start()]].span
        yield Element(match[1], data, tokens, span)


def _end_of(line: PrintedLine, start: int, end: int, owners: list[int]) -> int:
    """Where data end: before the next element, or a blank of the line's own text."""
    for place in range(start + 1, end):
        if line.text[place] == " " and line.tokens[owners[place]].field is None:
            return place
    return end


def _longest(token: Token) -> int:
    source = token.field.source if token.field and not token.field.options else None
    if isinstance(source, InputText):
        return longest_input(source.rule)
    if isinstance(source, CounterText):
        return max(source.width, widest(source.counter))
    return len(token.text)


def longest_input(rule: InputRule) -> int:
    """The most characters an input can have: by its length, its choices and its pattern."""
    if rule.input.choices:
        return max(map(len, rule.input.choices))
    if rule.input.pattern is None:
        return rule.max_length
    longest = _longest_match(parse_regex(rule.input.pattern)[0])
    return rule.max_length if longest is None else min(rule.max_length, longest)


def _longest_match(node: Node) -> int | None:
    """The most characters a pattern matches, None without end."""
    match node:
        case CharSet():
            return 1
        case Sequence(items):
            lengths = [_longest_match(item) for item in items]
            return None if None in lengths else sum(filter(None, lengths))
        case Choice(branches):
            lengths = [_longest_match(branch) for branch in branches]
            return None if None in lengths else max(filter(None, lengths), default=0)
        case Repeat(item, _, most):
            inner = _longest_match(item)
            return None if most is None or inner is None else most * inner


def _allowed(token: Token) -> Iterator[str]:
    """The printable ASCII characters that an input lets in."""
    source = token.field.source if token.field else None
    if not isinstance(source, InputText) or source.rule.input.choices:
        return
    pattern = source.rule.input.pattern
    sets = list(walk(parse_regex(pattern)[0])) if pattern else []
    for char in map(chr, range(0x20, 0x7F)):
        if pattern is None or any(isinstance(node, CharSet) and char in node for node in sets):
            yield char
