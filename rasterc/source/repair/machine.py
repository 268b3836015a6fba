"""The LALR parser as a machine that can be stepped, asked and turned back."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import TYPE_CHECKING, Any

from rasterc.source.tree.grammar import END, Grammar, accepted, after

if TYPE_CHECKING:
    from lark import Token, Tree


class Machine:
    """The parser at some place of a text: its stack of states, and the lexer's offset."""

    def __init__(self, grammar: Grammar, text: str) -> None:
        parser = grammar.start(text)
        self._text = text
        self._lexer: Any = parser.lexer_thread
        self._state = parser.parser_state
        self._states: dict[Any, Any] = self._state.parse_conf.states
        self.feed = self._state.feed_token
        """Take a token; raises lark's UnexpectedToken when it cannot come."""

    def tokens(self) -> Iterator[Token]:
        """The tokens from here on, each read as the parser's present state has it."""
        tokens: Iterator[Token] = self._lexer.lex(self._state)
        return tokens

    # -- asking ----------------------------------------------------------------------------------

    def can_come(self, *terminals: str) -> bool:
        """Whether these terminals can come next, one after another."""
        stack: list[Any] | None = self._state.state_stack
        for terminal in terminals:
            stack = after(self._states, stack, terminal) if stack else None
        return stack is not None

    def may_come(self, terminal: str) -> bool:
        """A quick first answer to `can_come`: False is certain, True is not."""
        return terminal in self._states[self._state.position]

    def all_that_can_come(self) -> frozenset[str]:
        """Every terminal that can come next."""
        return accepted(self._states, self._state.state_stack)

    def open_braces(self) -> list[Token]:
        """The braces that are open, outermost first."""
        found: list[Token] = []
        for value in self._state.value_stack:
            kind = getattr(value, "type", "")
            if kind == "LBRACE":
                found.append(value)
            elif kind == "RBRACE":  # closed, and not yet put together
                found.pop()
        return found

    def read_before(self, brace: Token) -> list[Token]:
        """The tokens before an open brace that belong to something still open."""
        values = self._state.value_stack
        index = next(i for i, value in enumerate(values) if value is brace)
        return [value for value in values[:index] if hasattr(value, "type")]

    def last_read(self, terminals: Collection[str]) -> Token | None:
        """The last token of one of these terminals that belongs to something still open."""
        values = reversed(self._state.value_stack)
        return next((value for value in values if getattr(value, "type", "") in terminals), None)

    # -- moving ----------------------------------------------------------------------------------

    def feed_dummy(self, name: str, at: int) -> None:
        """Take a token that is not in the text."""
        from lark import Token

        self.feed(Token(name, "", start_pos=at, end_pos=at))

    def go_to(self, offset: int) -> None:
        """Have the lexer read on from an offset."""
        counter = self._lexer.state.line_ctr
        if offset > counter.char_pos:
            counter.feed(self._text[counter.char_pos : offset])  # keeps count of the lines
        else:
            counter.char_pos = offset

    def settle(self) -> None:
        """Put together what is complete whatever follows, so that `pop_to` leaves it whole."""
        from lark.parsers.lalr_analysis import Reduce

        state = self._state
        callbacks: dict[Any, Any] = state.parse_conf.callbacks
        while True:
            row: dict[str, Any] = self._states[state.position]
            actions = {action for name, action in row.items() if name.isupper()}
            kind, rule = actions.pop() if len(actions) == 1 else (None, None)
            if kind is not Reduce or rule is None or not rule.expansion:
                return
            size = len(rule.expansion)
            value = callbacks[rule](state.value_stack[-size:])
            del state.state_stack[-size:]
            del state.value_stack[-size:]
            state.state_stack.append(self._states[state.position][rule.origin.name][1])
            state.value_stack.append(value)

    def pop_to(self, terminal: str) -> bool:
        """Drop what was begun, back to the last state that has a place for ``terminal``."""
        stack = self._state.state_stack
        for length in range(len(stack), 0, -1):
            if after(self._states, stack[:length], terminal) is not None:
                del stack[length:]
                del self._state.value_stack[length - 1 :]
                return True
        return False

    def close(self, at: int) -> Tree[Token]:
        """Close everything that is open and give the tree."""
        from lark import Token

        while not self.can_come(END):
            if self.pop_to("RBRACE"):
                self.feed_dummy("RBRACE", at)
            else:
                self.pop_to(END)
        tree: Tree[Token] = self._state.feed_token(Token(END, ""), is_end=True)
        return tree
