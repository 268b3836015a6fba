"""The parser's tables, made from ``grammar/message.lark`` when first needed.

Building them takes about 40 ms. An installation has them ready made (``grammar/build_tables.py``),
for the grammar and the lark release it was installed with; reading those takes 6 ms. Importing this
module costs nothing.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterator, Sequence
from functools import cache
from typing import TYPE_CHECKING, Any, cast

from msgspec import Struct

from rasterc.resources import resource_dir

if TYPE_CHECKING:
    from lark import Lark, Token
    from lark.lark import PostLex
    from lark.parsers.lalr_interactive_parser import InteractiveParser

END = "$END"

_IN_WORDS = {
    "NAME": "a name",
    "COLUMN": "a column like products.life",
    "NUMBER": "a number",
    "STRING": "a text in double quotes",
    "TIME": "a time like 06:00",
    "DATE": "a date like 2028-02-29",
    "ARGUMENTS": '"("',
    "SIGN": '"+" or "-"',
    "COMPARISON": '"<=", ">=", "<", ">" or "="',
    "ZONE_OFFSET": "an offset like +01:00",
    END: "the end of the text",
}


class Grammar(Struct, frozen=True):
    """The parser and what its tables can be asked."""

    lark: Lark

    def start(self, text: str) -> InteractiveParser:
        """A parser at the start of ``text``."""
        return self.lark.parse_interactive(text)

    def literal(self, terminal: str) -> str:
        """The fixed text of a terminal (``{``, ``clock``), or "" when it has none."""
        if terminal == END:
            return ""
        pattern = self.lark.get_terminal(terminal).pattern
        return str(pattern.value) if pattern.type == "str" else ""

    def in_words(self, terminal: str) -> str:
        """A terminal in the user's words."""
        return _IN_WORDS.get(terminal) or f'"{self.literal(terminal)}"'

    def terminal_of(self, keyword: str) -> str:
        """The terminal of a statement's keyword."""
        return keyword.upper()


def after(states: dict[Any, Any], stack: Sequence[Any], terminal: str) -> list[Any] | None:
    """The parser's states once ``terminal`` has come, or None if it cannot come here.

    Runs the LALR table ``states`` on a copy of the state ``stack``.
    """
    from lark.parsers.lalr_analysis import Shift

    now = list(stack)
    while True:
        action = states[now[-1]].get(terminal)
        if action is None:
            return None
        kind, argument = action
        if kind is Shift:
            return [*now, argument]
        if argument.expansion:
            del now[-len(argument.expansion) :]
        now.append(states[now[-1]][argument.origin.name][1])
        if not states[now[-1]]:  # the whole text is read
            return now


def accepted(states: dict[Any, Any], stack: Sequence[Any]) -> frozenset[str]:
    """Every terminal that can come next."""
    terminals = (name for name in states[stack[-1]] if name.isupper())
    return frozenset(name for name in terminals if after(states, stack, name) is not None)


class _AlwaysNames:
    """Has the lexer read whole words everywhere, so that "off" is never "of" and then "f"."""

    always_accept = ("NAME", "NUMBER", "STRING")

    def process(self, stream: Iterator[Token]) -> Iterator[Token]:
        return stream


@cache
def grammar() -> Grammar:
    """The message language's grammar; made at the first call."""
    import lark

    folder = resource_dir("grammar")
    text = (folder / "message.lark").read_text(encoding="utf-8")
    ready = folder / tables_name(text, lark.__version__)
    if ready.is_file():
        with ready.open("rb") as file:
            return Grammar(lark.Lark.load(file))
    return Grammar(build(text))


def build(text: str) -> Lark:
    """The parser, built from the grammar's text."""
    from lark import Lark

    return Lark(
        text,
        parser="lalr",
        lexer="contextual",
        propagate_positions=True,
        postlex=cast("PostLex", _AlwaysNames()),
    )


def tables_name(text: str, lark_version: str) -> str:
    """The file that holds the tables of a grammar for a release of lark: they differ by both."""
    return f"message-{zlib.crc32(text.encode()):08x}-{lark_version}.tables"
