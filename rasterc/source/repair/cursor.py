"""Where the recovering parser is in a text, and how it is moved on."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from rasterc.diagnostics import Diagnostic, SourceText, Span
from rasterc.source.repair import wording
from rasterc.source.repair.machine import Machine
from rasterc.source.tree.grammar import END, Grammar
from rasterc.source.tree.keywords import DECLARATIONS, KEYWORDS

if TYPE_CHECKING:
    from lark import Token

_SURE = {"use": r'use(?=[ \t]*")', "message": r"message(?=[ \t]+[^\W\d])"}
_STATEMENTS = "|".join(_SURE.get(word, word) for word in KEYWORDS)
_KEYWORD_TERMINALS = frozenset(word.upper() for word in KEYWORDS)
_DECLARING = frozenset(word.upper() for word in DECLARATIONS)
_SKIPPED = re.compile(
    rf"(?P<keyword>^[ \t]*(?:{_STATEMENTS})(?![\w-]))"
    r'|(?P<open>\{)|(?P<close>\})|"(?:[^"\\\r\n]|\\.)*"?|#[^\n]*',
    re.MULTILINE,
)

_MOST_MET = 10  # mistakes met for each that may be reported; bounds the time

VALUES = ("NAME", "STRING", "NUMBER", "TIME", "DATE", "COMPARISON", "SIGN")
"""Terminals with a text of their own: a statement in which one is missing is unusable."""


def start_of(token: Token) -> int:
    """The offset of a token."""
    return int(token.start_pos or 0)


class StopError(Exception):
    """The rest of the text is not read."""


class Track:
    """The parser's place, the mistakes so far and the offsets of broken statements."""

    def __init__(self, source: SourceText, grammar: Grammar, max_faults: int) -> None:
        self.source = source
        self.grammar = grammar
        self.machine = Machine(grammar, source.text)
        self.diagnostics: list[Diagnostic] = []
        self.broken_at: list[int] = []
        self.previous: Token | None = None
        self.fresh = 1  # tokens read since the last mistake
        self.nameless = False  # a statement that may declare some name could not be read
        self.as_names: set[str] = set()  # keywords that were declared as names
        self._max_faults = max_faults
        self._met = 0  # mistakes met, reported or not

    def report(self, diagnostic: Diagnostic) -> None:
        """Note a mistake, unless it stands directly after another one."""
        self._met += 1
        if self.fresh > 0 or self._met > _MOST_MET * self._max_faults:
            if max(len(self.diagnostics), self._met // _MOST_MET) >= self._max_faults:
                self.diagnostics.append(wording.too_many(diagnostic.span, self._max_faults))
                raise StopError
            self.diagnostics.append(diagnostic)
        self.fresh = 0

    def break_statement(self, start: int) -> None:
        """Give up the statement at an offset, and one that seems to end before it in its line."""
        self.broken_at.append(start)
        if "\n" not in self.source.text[self.previous_end : start]:
            self.broken_at.append(max(0, self.previous_end - 1))
            if self.statement is not None:
                self.broken_at.append(self.statement.start)

    @property
    def statement(self) -> Span | None:
        """The keyword of the innermost statement that is open."""
        keyword = self.machine.last_read(_KEYWORD_TERMINALS)
        return self.span(keyword) if keyword is not None else None

    # -- places ----------------------------------------------------------------------------------

    @property
    def previous_end(self) -> int:
        """The offset behind the token read last."""
        return int(self.previous.end_pos or 0) if self.previous is not None else 0

    @property
    def previous_start(self) -> int:
        """The offset of the token read last."""
        return start_of(self.previous) if self.previous is not None else 0

    @property
    def named(self) -> bool:
        """Whether the token read last is the name of a declaration."""
        before = self.source.text[: self.previous_start].split()[-1:]
        return self.previous is not None and before != [] and before[0] in DECLARATIONS

    def begins_line(self, token: Token) -> bool:
        """Whether a token is the first of its line."""
        return self.previous is None or token.line != self.previous.end_line

    def repeats(self, token: Token) -> bool:
        """Whether a token is the one before it, written twice."""
        return self.previous is not None and str(token) == str(self.previous)

    def names_declared(self, can_come: frozenset[str]) -> bool:
        """Whether a declaration may begin here, or its name or the file it lies in be written."""
        declares = self.previous is not None and str(self.previous) in DECLARATIONS
        uses = self.previous is not None and str(self.previous) == "use"
        return bool(can_come & _DECLARING) or (declares and "NAME" in can_come) or uses

    def closes_message(self, token: Token) -> bool:
        """Whether a "}" before a token would close a message, with no new message following it."""
        return len(self.machine.open_braces()) == 1 and token.type != "MESSAGE"

    def told_in_line(self, start: int) -> bool:
        """Whether the mistake reported last stands in the line of an offset."""
        last = self.diagnostics[-1].span if self.diagnostics else None
        return last is not None and "\n" not in self.source.text[last.start : start]

    def note_name(self, start: int, can_come: frozenset[str]) -> None:
        """Note that the statement at an offset, which is passed over, may declare a name."""
        text = self.source.text
        begins_line = not text[text.rfind("\n", 0, start) + 1 : start].strip()
        if begins_line or text[start].isalpha() or "NAME" in can_come:
            self.nameless |= self.names_declared(can_come)

    def span(self, token: Token) -> Span:
        """The place of a token."""
        return Span(self.source, start_of(token), int(token.end_pos or 0))

    # -- moving ----------------------------------------------------------------------------------

    def feed_as(self, token: Token, name: str) -> None:
        """Take a token as one of the terminal ``name``."""
        token.type = name
        self.machine.feed(token)
        self.previous = token

    def feed_dummy(self, name: str) -> None:
        """Take a token that is not in the text, just behind the previous one."""
        at = self.previous_end
        self.nameless |= self.previous is not None and str(self.previous) == "use"
        if name in VALUES:
            self.broken_at.append(max(0, at - 1))
        self.machine.feed_dummy(name, at)

    def replace(self, name: str, end: int, can_come: frozenset[str]) -> None:
        """Take the text up to ``end`` as a token ``name`` if one can come; otherwise skip on."""
        if name in can_come:
            self.feed_dummy(name)
            self.resume(end)
            self.fresh = 0  # what stands directly behind may be no more than a consequence
        else:
            self.skip_from(end)

    def skip_from(self, start: int) -> None:
        """Skip to a statement or closing brace that an earlier state has a place for."""
        self.machine.settle()
        while start > 0 and self.source.text[start - 1] in " \t":
            start -= 1  # a statement is found with the blanks that begin its line
        depth = 0
        homeless: set[str] = set()  # terminals for which no state has a place
        for match in _SKIPPED.finditer(self.source.text, start):
            word = (match["keyword"] or "").strip()
            terminal = word.upper() or "RBRACE"
            if match["open"]:
                depth += 1
            elif match["close"] and depth:
                depth -= 1
            elif terminal in homeless or not (match["close"] or word):
                continue
            elif depth == 0 or word == "message":
                if self.machine.pop_to(terminal):
                    self.resume(match.end() - len(word or "}"))
                    return
                homeless.add(terminal)
        self.machine.pop_to(END)
        self.resume(len(self.source.text))

    def resume(self, offset: int) -> None:
        """Read on from an offset, as if nothing had happened before it."""
        self.machine.go_to(offset)
        self.fresh = 1
