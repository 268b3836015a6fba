"""Driving the LALR parser through a text with mistakes in it.

At a token that cannot stand where it does, in this order:

1. a reserved word where a name belongs is taken as the name;
2. a word close to a keyword that belongs there is taken as that keyword;
3. if one missing token would make it fit, that token is put in;
4. otherwise the text is skipped up to the next statement at the start of a line, or the next
   closing brace, for which some earlier state of the parser has a place; what was begun since
   that state is dropped.

Each step reports once. A mistake directly after another one is not reported: it is most likely
its consequence.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from rasterc.diagnostics import Diagnostic, SourceText, Span
from rasterc.source import faults
from rasterc.source.grammar import END, accepted, after, grammar
from rasterc.source.syntax import KEYWORDS, SETTINGS

if TYPE_CHECKING:
    from lark import Token, Tree
    from lark.exceptions import UnexpectedCharacters, UnexpectedToken

_RESERVED = frozenset(KEYWORDS) - frozenset(SETTINGS)  # settings are attribute words as well
_STATEMENTS = "|".join(KEYWORDS)
_SKIPPED = re.compile(
    rf"(?P<keyword>^[ \t]*(?:{_STATEMENTS})(?![\w-]))"
    r'|(?P<open>\{)|(?P<close>\})|"(?:[^"\\\r\n]|\\.)*"?|#[^\n]*',
    re.MULTILINE,
)
# Every way to write a statement's keyword with one letter too many, missing, wrong or swapped.
_SLIPS = re.compile(
    "|".join(
        {k[:i] + r"\w{0,2}" + k[i + 1 :] for k in KEYWORDS for i in range(len(k))}
        | {k[:i] + k[i + 1] + k[i] + k[i + 2 :] for k in KEYWORDS for i in range(len(k) - 1)}
    )
)
# What is put in when it is missing, most likely first. Those with a value of their own leave the
# statement unusable.
_PUNCTUATION = ("COLON", "EQUAL", "COMMA", "LBRACE", "FROM", "TO", "OF", "IN", "RBRACE")
_VALUES = ("NAME", "STRING", "NUMBER", "TIME", "DATE", "COMPARISON", "SIGN")


class _StopError(Exception):
    """The rest of the text is not read."""


class Recovery:
    """One run of the parser over one text.

    After `tree`, ``diagnostics`` holds the mistakes and ``broken_at`` the offsets that lie in
    statements which could not be read whole.
    """

    def __init__(
        self, source: SourceText, max_words: int, max_faults: int, declared: frozenset[str]
    ) -> None:
        self.source = source
        self.diagnostics: list[Diagnostic] = []
        self.broken_at: list[int] = []
        self._max_words = max_words
        self._max_faults = max_faults
        self._declared = declared
        self._grammar = grammar()
        parser = self._grammar.start(source.text)
        self._lexer: Any = parser.lexer_thread
        self._state = parser.parser_state
        self._states: dict[Any, Any] = self._state.parse_conf.states
        self._previous: Token | None = None
        self._words = 0
        self._fresh = 1  # tokens read since the last mistake
        self._lost_top = False  # statements outside a message were already reported
        self._has_use = re.search(r'^[ \t]*use[ \t]*"', source.text, re.MULTILINE) is not None

    def tree(self) -> Tree[Token]:
        """The parser's tree of everything that could be read."""
        from lark.exceptions import UnexpectedCharacters, UnexpectedToken

        while True:
            try:
                self._read_on()
                return self._finish()
            except _StopError:
                return self._close()
            except UnexpectedToken as error:
                step = self._at_token(error)
            except UnexpectedCharacters as error:
                step = self._at_character(error)
            if not step:
                return self._close()

    def _read_on(self) -> None:
        feed = self._state.feed_token
        for token in self._lexer.lex(self._state):
            if token.type == "NAME":
                self._reread(token)
            elif token.type == "STRING" and "COLON" in self._states[self._state.position]:
                self._end_attributes(token)
            feed(token)
            self._previous = token
            self._fresh += 1
            self._words += 1
            if self._words > self._max_words:
                place = self._span(token)
                self.diagnostics.append(faults.too_many_words(place, self._max_words))
                raise _StopError

    def _reread(self, token: Token) -> None:
        """See a keyword, or a slip of one that begins a line, where the lexer saw a name."""
        if token in _RESERVED:
            token.type = self._grammar.terminal_of(str(token))
        elif _SLIPS.fullmatch(token) and self._begins_line(token) and self._is_slip(token):
            keyword = faults.near_keyword(token, KEYWORDS)
            self._report(faults.typo(self._span(token), keyword), int(token.start_pos or 0))
            token.type = self._grammar.terminal_of(keyword)

    def _end_attributes(self, token: Token) -> None:
        """Put in the ":" before a line's first text: only ``font`` is followed by a text."""
        if self._previous != "font" and self._can_come("COLON"):
            following = self._span(token)
            self._report(
                faults.missing(following, following, {"COLON"}, self._grammar.in_words),
                following.start,
            )
            self._feed_dummy("COLON")

    def _is_slip(self, token: Token) -> bool:
        """Whether a name where a statement can begin is no declared name but a slip."""
        if self._has_use or token in self._declared:
            return False
        keyword = faults.near_keyword(token, KEYWORDS)
        return bool(keyword) and self._can_come(self._grammar.terminal_of(keyword))

    # -- mistakes --------------------------------------------------------------------------------

    def _report(self, diagnostic: Diagnostic, at: int) -> None:
        if self._fresh > 0:
            if len(self.diagnostics) >= self._max_faults:
                place = diagnostic.span or Span(self.source, at, at)
                self.diagnostics.append(faults.too_many(place, self._max_faults))
                raise _StopError
            self.diagnostics.append(diagnostic)
        self._fresh = 0

    def _at_token(self, error: UnexpectedToken) -> bool:
        try:
            self._mend(error.token)
        except _StopError:
            return False
        return True

    def _at_character(self, error: UnexpectedCharacters) -> bool:
        try:
            self._mend_character(error.pos_in_stream or 0)
        except _StopError:
            return False
        return True

    def _mend(self, token: Token) -> None:
        start = int(token.start_pos or 0)
        if token.type == "ARGUMENTS":
            self._mend_character(start)
            return
        can_come = accepted(self._states, self._state.state_stack)
        if self._mend_name(token, can_come) or self._mend_typo(token, can_come):
            return
        if self._mend_unquoted(token, can_come) or self._put_in(token, can_come):
            return
        self._report_misfit(token, can_come)
        self._skip_from(start)

    def _mend_name(self, token: Token, can_come: frozenset[str]) -> bool:
        if token not in KEYWORDS or "NAME" not in can_come or self._begins_line(token):
            return False
        start = int(token.start_pos or 0)
        self._report(faults.reserved(self._span(token)), start)
        self.broken_at.append(start)
        self._feed_as(token, "NAME")
        return True

    def _mend_typo(self, token: Token, can_come: frozenset[str]) -> bool:
        literals = {self._grammar.literal(name): name for name in can_come}
        words = [word for word in literals if word.isalpha()]
        keyword = faults.near_keyword(token, words) if token.isidentifier() else ""
        if not keyword or token in KEYWORDS:
            return False
        self._report(faults.typo(self._span(token), keyword), int(token.start_pos or 0))
        self._feed_as(token, literals[keyword])
        return True

    def _mend_unquoted(self, token: Token, can_come: frozenset[str]) -> bool:
        if token.type not in ("NAME", "NUMBER") or "STRING" not in can_come:
            return False
        start = int(token.start_pos or 0)
        span = faults.chunk(self.source, start)
        self._report(faults.unquoted(span), start)
        self.broken_at.append(start)
        self._replace("STRING", span.end, can_come)
        return True

    def _put_in(self, token: Token, can_come: frozenset[str]) -> bool:
        """Put in the one token without which ``token`` has no place."""
        stack = self._state.state_stack
        for name in (*_PUNCTUATION, *_VALUES):
            fits = name in can_come and after(
                self._states, after(self._states, stack, name) or [], token.type
            )
            if fits and not (name == "RBRACE" and self._closes_message(token)):
                self._report_missing(token, name, can_come)
                self._feed_dummy(name)
                self._feed_as(token, token.type)
                return True
        return False

    def _closes_message(self, token: Token) -> bool:
        """Whether a "}" here would close a message, with no new message following it."""
        return len(self._open_braces()) == 1 and token.type != "MESSAGE"

    def _open_braces(self) -> list[int]:
        """Where on the value stack the braces stand that are still open."""
        found: list[int] = []
        for index, value in enumerate(self._state.value_stack):
            kind = getattr(value, "type", "")
            if kind == "LBRACE":
                found.append(index)
            elif kind == "RBRACE":  # closed, and not yet put together
                found.pop()
        return found

    def _report_missing(self, token: Token, name: str, can_come: frozenset[str]) -> None:
        following = faults.chunk(self.source, int(token.start_pos or 0))
        place = following
        if self._begins_line(token):
            place = Span(self.source, self._previous_end, self._previous_end)
        terminals = {name} if name in _PUNCTUATION else can_come & set(_VALUES)
        diagnostic = faults.missing(place, following, terminals, self._grammar.in_words)
        self._report(diagnostic, place.start)

    def _report_misfit(self, token: Token, can_come: frozenset[str]) -> None:
        start = int(token.start_pos or 0)
        self.broken_at.append(start)
        span = faults.chunk(self.source, start)
        between_statements = all(n.lower() in KEYWORDS or n in ("RBRACE", END) for n in can_come)
        at_top = END in can_come
        if at_top and self._lost_top:
            return
        if token.type == "RBRACE" and at_top:
            self._report(faults.stray_brace(span), start)
        elif token in KEYWORDS and between_statements:
            self._lost_top = at_top
            self._report(faults.misplaced(span), start)
        else:
            self._report(faults.unexpected(span, can_come, self._grammar.in_words), start)

    def _mend_character(self, start: int) -> None:
        """Characters that begin no token, or parentheses where none can stand."""
        text, source = self.source.text, self.source
        can_come = accepted(self._states, self._state.state_stack)
        self.broken_at.append(start)
        if text[start] == '"':
            self._report(faults.unclosed_text(source, start), start)
            self._replace("STRING", faults.rest_of_line(source, start).end, can_come)
        elif text[start] == "(" and "ARGUMENTS" in can_come:
            self._report(faults.unclosed_parenthesis(source, start), start)
            line = faults.rest_of_line(source, start)
            close = line.text.rfind(")") + 1
            self._replace("ARGUMENTS", start + close if close else line.end, can_come)
        else:
            span = faults.chunk(source, start)
            self._report(faults.unexpected(span, can_come, self._grammar.in_words), start)
            self._replace("STRING" if faults.is_odd_quoted(span.text) else "", span.end, can_come)

    def _replace(self, name: str, end: int, can_come: frozenset[str]) -> None:
        """Take the text up to ``end`` as a token ``name`` if one can come; otherwise skip on."""
        if name in can_come:
            self._feed_dummy(name)
            self._resume(end)
        else:
            self._skip_from(end)

    # -- moving the parser -----------------------------------------------------------------------

    def _can_come(self, terminal: str) -> bool:
        return after(self._states, self._state.state_stack, terminal) is not None

    @property
    def _previous_end(self) -> int:
        return int(self._previous.end_pos or 0) if self._previous is not None else 0

    def _begins_line(self, token: Token) -> bool:
        return self._previous is None or token.line != self._previous.end_line

    def _span(self, token: Token) -> Span:
        return Span(self.source, int(token.start_pos or 0), int(token.end_pos or 0))

    def _feed_as(self, token: Token, name: str) -> None:
        token.type = name
        self._state.feed_token(token)
        self._previous = token

    def _feed_dummy(self, name: str) -> None:
        """Feed a token that is not in the text, just behind the previous one."""
        from lark import Token

        at = self._previous_end
        if name in _VALUES:
            self.broken_at.append(max(0, at - 1))
        self._state.feed_token(Token(name, "", start_pos=at, end_pos=at))

    def _go_to(self, offset: int) -> None:
        """Read on from an offset at or behind the present one."""
        counter = self._lexer.state.line_ctr
        if offset > counter.char_pos:
            counter.feed(self.source.text[counter.char_pos : offset])
        else:
            counter.char_pos = offset

    def _skip_from(self, start: int) -> None:
        """Skip to a statement or closing brace that an earlier state has a place for."""
        self._settle()
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
                if self._pop_to(terminal):
                    self._resume(match.end() - len(word or "}"))
                    return
                homeless.add(terminal)
        self._pop_to(END)
        self._resume(len(self.source.text))

    def _settle(self) -> None:
        """Put together what is complete whatever follows, so that it is not opened again."""
        from lark.parsers.lalr_analysis import Reduce

        state, states = self._state, self._states
        while True:
            actions = {act for name, act in states[state.position].items() if name.isupper()}
            kind, rule = next(iter(actions)) if len(actions) == 1 else (None, None)
            if kind is not Reduce or not rule.expansion:
                return
            size = len(rule.expansion)
            value = state.parse_conf.callbacks[rule](state.value_stack[-size:])
            del state.state_stack[-size:]
            del state.value_stack[-size:]
            state.state_stack.append(states[state.position][rule.origin.name][1])
            state.value_stack.append(value)

    def _resume(self, offset: int) -> None:
        self._go_to(offset)
        self._fresh = 1

    def _pop_to(self, terminal: str) -> bool:
        """Drop what was begun, back to the last state that has a place for ``terminal``."""
        stack = self._state.state_stack
        for length in range(len(stack), 0, -1):
            if after(self._states, stack[:length], terminal) is not None:
                del stack[length:]
                del self._state.value_stack[length - 1 :]
                return True
        return False

    # -- the end ---------------------------------------------------------------------------------

    def _finish(self) -> Tree[Token]:
        if self._can_come(END):
            return self._close()
        can_come = accepted(self._states, self._state.state_stack)
        if "RBRACE" in can_come:
            opener, line = self._last_opener()
            diagnostic = faults.unclosed_brace(self.source, opener, line)
        else:
            diagnostic = faults.early_end(self.source, can_come, self._grammar.in_words)
        self._report(diagnostic, len(self.source.text))
        return self._close()

    def _last_opener(self) -> tuple[str, int]:
        """What the innermost open brace belongs to, and the line it stands in."""
        values = self._state.value_stack
        index = self._open_braces()[-1]
        brace = values[index]
        words = [v for v in values[:index] if str(getattr(v, "type", "")).lower() in KEYWORDS]
        keyword = words[-1]
        head = self.source.text[keyword.start_pos : brace.start_pos].strip()
        return head if len(head) <= 40 else str(keyword), int(brace.line or 1)

    def _close(self) -> Tree[Token]:
        """Close everything that is open and give the tree."""
        from lark import Token

        while not self._can_come(END):
            if self._pop_to("RBRACE"):
                self._feed_dummy("RBRACE")
            else:
                self._pop_to(END)
        tree: Tree[Token] = self._state.feed_token(Token(END, ""), is_end=True)
        return tree
