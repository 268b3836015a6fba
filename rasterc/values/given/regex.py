r"""Patterns of inputs: a small language of regular expressions, read into a tree.

    pattern  = branch { "|" branch }
    branch   = { item [ "?" | "*" | "+" | "{n}" | "{n,m}" | "{n,}" ] }
    item     = character | "." | "\d" | "\" punctuation | "[" ["^"] { char | char "-" char } "]"
             | "(" pattern ")"

A pattern always matches the whole text. ``.`` and ``[^...]`` mean printable characters only, so a
line break or control character never enters a code. Results are those of Python's ``re.fullmatch``
with ``re.ASCII`` on printable texts.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rasterc.values.given.characters import is_printable

MAX_REPEAT = 64
MAX_DEPTH = 32
_SPECIAL = set("[](){}.?*+|\\^$")


@dataclass(frozen=True, slots=True)
class CharSet:
    """One character out of ``ranges`` (first and last of each), or any printable one not in them
    when ``negated``."""

    ranges: tuple[tuple[str, str], ...]
    negated: bool = False

    def __contains__(self, char: str) -> bool:
        inside = any(first <= char <= last for first, last in self.ranges)
        return is_printable(char) if self.negated and not inside else inside and not self.negated


@dataclass(frozen=True, slots=True)
class Sequence:
    """Items one after another; none of them is the empty text."""

    items: tuple[Node, ...]


@dataclass(frozen=True, slots=True)
class Choice:
    """One of several patterns."""

    branches: tuple[Node, ...]


@dataclass(frozen=True, slots=True)
class Repeat:
    """``item`` from ``least`` to ``most`` times; without end when ``most`` is None."""

    item: Node
    least: int
    most: int | None


Node = CharSet | Sequence | Choice | Repeat

ANY = CharSet((), negated=True)
DIGIT = CharSet((("0", "9"),))


@dataclass(frozen=True, slots=True)
class RegexFault:
    """What is wrong with a pattern, at characters ``start`` to ``end`` of it."""

    start: int
    end: int
    message: str
    help: str


def parse_regex(pattern: str) -> tuple[Node, list[RegexFault]]:
    """The tree of a pattern, and every fault found. The tree is of use only without faults."""
    reader = _Reader(pattern)
    tree = reader.choice(0)
    return tree, reader.faults


class _Reader:
    """Reads a pattern from left to right, noting faults and going on after them."""

    def __init__(self, pattern: str) -> None:
        self.pattern = pattern
        self.at = 0
        self.faults: list[RegexFault] = []

    def peek(self) -> str:
        return self.pattern[self.at : self.at + 1]

    def take(self) -> str:
        self.at += 1
        return self.pattern[self.at - 1]

    def fault(self, start: int, message: str, help: str = "") -> None:
        self.faults.append(RegexFault(start, max(self.at, start + 1), message, help))

    def choice(self, depth: int) -> Node:
        branches = [self.sequence(depth)]
        while self.peek() == "|":
            self.take()
            branches.append(self.sequence(depth))
        return branches[0] if len(branches) == 1 else Choice(tuple(branches))

    def sequence(self, depth: int) -> Node:
        items: list[Node] = []
        while self.peek() and self.peek() != "|" and not (self.peek() == ")" and depth):
            item = self.item(depth)
            if item is not None:
                items.append(self.repeated(item))
        return items[0] if len(items) == 1 else Sequence(tuple(items))

    def item(self, depth: int) -> Node | None:
        start, char = self.at, self.take()
        match char:
            case ".":
                return ANY
            case "[":
                return self.charset(start)
            case "(":
                return self.group(start, depth)
            case "\\":
                return self.escape(start)
        if char in _SPECIAL:
            self.fault(start, f'"{char}" cannot stand here', _MISPLACED[char])
            return None
        return self.literal(start, char)

    def literal(self, start: int, char: str) -> CharSet:
        if not is_printable(char):
            self.fault(start, "a character that cannot be printed")
        return CharSet(((char, char),))

    def group(self, start: int, depth: int) -> Node | None:
        if depth == MAX_DEPTH:
            self.fault(start, f"groups go deeper than {MAX_DEPTH}", "nest fewer groups")
            self.at = len(self.pattern)
            return None
        if self.peek() == "?":
            self.take()
            if self.peek() and self.peek() in ":=!<P":
                self.take()
            self.fault(start, "groups have no marks", "write a plain (...)")
        tree = self.choice(depth + 1)
        if self.peek() == ")":
            self.take()
        else:
            self.fault(start, 'this "(" is not closed', 'write ")" where the group ends')
        return tree

    def escape(self, start: int) -> CharSet:
        if not self.peek():
            self.fault(start, 'nothing follows the "\\"', 'a backslash itself is "\\\\"')
            return ANY
        char = self.take()
        if char == "d":
            return DIGIT
        if char.isalnum():
            self.fault(start, f'"\\{char}" is not known', _ESCAPES.get(char, "only \\d is"))
        return self.literal(start, char)

    def charset(self, start: int) -> CharSet:
        negated = self.peek() == "^"
        if negated:
            self.take()
        ranges: list[tuple[str, str]] = []
        while self.peek() not in ("]", ""):
            ranges.append(self.range())
        if not self.peek():
            self.fault(start, 'this "[" is not closed', 'write "]" where the characters end')
        else:
            self.take()
            if not ranges:
                self.fault(start, "no characters between [ and ]", 'the character "]" is "\\]"')
        return CharSet(tuple(sorted(ranges)), negated)

    def range(self) -> tuple[str, str]:
        start = self.at
        first, last = self.class_char()
        after = self.pattern[self.at + 1 : self.at + 2]
        if self.peek() != "-" or after in ("]", ""):
            return first, last
        self.take()
        low, high = self.class_char()
        if first != last or low != high:
            self.fault(start, "\\d is no end of a range", 'the character "-" is "\\-"')
        elif high < first:
            self.fault(start, f'the range runs backwards from "{first}" to "{high}"', "swap them")
        return first, high

    def class_char(self) -> tuple[str, str]:
        start, char = self.at, self.take()
        chars = self.escape(start) if char == "\\" else self.literal(start, char)
        return chars.ranges[0] if chars.ranges else (char, char)

    def repeated(self, item: Node) -> Node:
        start = self.at
        bounds = self.repeat_mark()
        if bounds is None:
            return item
        while self.peek() and self.peek() in "?*+{":
            again = self.at
            if self.repeat_mark() is None:
                break
            self.fault(again, "a repeat mark after a repeat mark", "put a group around the first")
        least, most = bounds
        if max(least, most or 0) > MAX_REPEAT:
            self.fault(start, f"more than {MAX_REPEAT} times", "codes have at most 64 characters")
            return item
        if most is not None and most < least:
            self.fault(start, f"from {least} to {most} times", "write the smaller number first")
        return Repeat(item, least, most)

    def repeat_mark(self) -> tuple[int, int | None] | None:
        marks: dict[str, tuple[int, int | None]] = {"?": (0, 1), "*": (0, None), "+": (1, None)}
        if self.peek() in marks:
            return marks[self.take()]
        if self.peek() != "{":
            return None
        return self.counted()

    def counted(self) -> tuple[int, int | None]:
        start = self.at
        end = self.pattern.find("}", start)
        inside = self.pattern[start + 1 : end] if end >= 0 else ""
        low, comma, high = inside.partition(",")
        if not (_is_number(low) and (_is_number(high) or not high)):
            self.at = end + 1 if end >= 0 else start + 1
            self.fault(start, "not a number of times", 'write {n}, {n,m} or {n,}; a "{" is "\\{"')
            return 1, 1
        self.at = end + 1
        least = int(low)
        return least, (int(high) if high else None) if comma else least


def _is_number(text: str) -> bool:
    return text.isascii() and text.isdigit() and len(text) <= 6


def walk(node: Node) -> Iterator[Node]:
    """A tree's nodes, each before those below it."""
    yield node
    match node:
        case Sequence(below) | Choice(below):
            for item in below:
                yield from walk(item)
        case Repeat(item, _, _):
            yield from walk(item)


_MISPLACED = {
    "^": "leave it out, the whole text is always matched; to match the character write \\^",
    "$": "leave it out, the whole text is always matched; to match the character write \\$",
    ")": 'no group is open; to match the character write "\\)"',
    "]": 'no "[" is open; to match the character write "\\]"',
    "{": 'nothing stands before it to repeat; to match the character write "\\{"',
    "}": 'no "{" is open; to match the character write "\\}"',
    "?": 'nothing stands before it to repeat; to match the character write "\\?"',
    "*": 'nothing stands before it to repeat; to match the character write "\\*"',
    "+": 'nothing stands before it to repeat; to match the character write "\\+"',
}

_ESCAPES = {
    "w": "write [0-9A-Za-z_]",
    "s": "write a blank",
    "D": "write [^0-9]",
    "W": "write [^0-9A-Za-z_]",
    "S": "write [^ ]",
    "b": "the whole text is always matched: leave it out",
}
