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
from typing import TYPE_CHECKING

from rasterc.diagnostics import Diagnostic, SourceText, Span
from rasterc.source import faults
from rasterc.source.grammar import END, grammar
from rasterc.source.machine import Machine
from rasterc.source.syntax import KEYWORDS, SETTINGS

if TYPE_CHECKING:
    from lark import Token, Tree

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
_PUNCTUATION = ("COLON", "EQUAL", "COMMA", "LBRACE", "FROM", "TO", "OF", "IN", "BECAUSE", "RBRACE")
_VALUES = ("NAME", "STRING", "NUMBER", "TIME", "DATE", "COMPARISON", "SIGN")


def _start(token: Token) -> int:
    return int(token.start_pos or 0)


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
        self._machine = Machine(self._grammar, source.text)
        self._previous: Token | None = None
        self._words = 0
        self._fresh = 1  # tokens read since the last mistake
        self._lost_top = False  # statements outside a message were already reported
        self._has_use = re.search(r'^[ \t]*use[ \t]*"', source.text, re.MULTILINE) is not None

    def tree(self) -> Tree[Token]:
        """The parser's tree of everything that could be read."""
        try:
            while not self._read_whole():
                pass
            self._finish()
        except _StopError:
            pass
        return self._machine.close(self._previous_end)

    def _read_whole(self) -> bool:
        """Read on to the end, True, or over one mistake, False."""
        from lark.exceptions import UnexpectedCharacters, UnexpectedToken

        try:
            self._read_on()
        except UnexpectedToken as error:
            self._mend(error.token)
        except UnexpectedCharacters as error:
            self._mend_character(error.pos_in_stream or 0)
        else:
            return True
        return False

    def _read_on(self) -> None:
        feed = self._machine.feed
        for token in self._machine.tokens():
            if token.type == "NAME":
                self._reread(token)
            elif token.type == "STRING" and self._machine.may_come("COLON"):
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
            self._report(faults.typo(self._span(token), keyword))
            token.type = self._grammar.terminal_of(keyword)

    def _end_attributes(self, token: Token) -> None:
        """Put in the ":" before a line's first text: only ``font`` is followed by a text."""
        if self._previous != "font" and self._machine.can_come("COLON"):
            following = self._span(token)
            self._report(faults.missing(following, following, {"COLON"}, self._grammar.in_words))
            self._feed_dummy("COLON")

    def _is_slip(self, token: Token) -> bool:
        """Whether a name where a statement can begin is no declared name but a slip."""
        if self._has_use or token in self._declared:
            return False
        keyword = faults.near_keyword(token, KEYWORDS)
        return bool(keyword) and self._machine.can_come(self._grammar.terminal_of(keyword))

    # -- mistakes --------------------------------------------------------------------------------

    def _report(self, diagnostic: Diagnostic) -> None:
        if self._fresh > 0:
            if len(self.diagnostics) >= self._max_faults:
                self.diagnostics.append(faults.too_many(diagnostic.span, self._max_faults))
                raise _StopError
            self.diagnostics.append(diagnostic)
        self._fresh = 0

    def _mend(self, token: Token) -> None:
        start = _start(token)
        if token.type == "ARGUMENTS":
            self._mend_character(start)
            return
        can_come = self._machine.all_that_can_come()
        if self._mend_name(token, can_come) or self._mend_typo(token, can_come):
            return
        if self._mend_unquoted(token, can_come) or self._put_in(token, can_come):
            return
        self._report_misfit(token, can_come)
        self._skip_from(start)

    def _mend_name(self, token: Token, can_come: frozenset[str]) -> bool:
        if token not in KEYWORDS or "NAME" not in can_come or self._begins_line(token):
            return False
        start = _start(token)
        self._report(faults.reserved(self._span(token)))
        self.broken_at.append(start)
        self._feed_as(token, "NAME")
        return True

    def _mend_typo(self, token: Token, can_come: frozenset[str]) -> bool:
        literals = {self._grammar.literal(name): name for name in can_come}
        words = [word for word in literals if word.isalpha()]
        keyword = faults.near_keyword(token, words) if token.isidentifier() else ""
        if not keyword or token in KEYWORDS:
            return False
        self._report(faults.typo(self._span(token), keyword))
        self._feed_as(token, literals[keyword])
        return True

    def _mend_unquoted(self, token: Token, can_come: frozenset[str]) -> bool:
        if token.type not in ("NAME", "NUMBER") or "STRING" not in can_come:
            return False
        start = _start(token)
        span = faults.chunk(self.source, start)
        self._report(faults.unquoted(span))
        self.broken_at.append(start)
        self._replace("STRING", span.end, can_come)
        return True

    def _put_in(self, token: Token, can_come: frozenset[str]) -> bool:
        """Put in the one token without which ``token`` has no place."""
        for name in (*_PUNCTUATION, *_VALUES):
            fits = name in can_come and self._machine.can_come(name, token.type)
            if fits and not (name == "RBRACE" and self._closes_message(token)):
                self._report_missing(token, name, can_come)
                self._feed_dummy(name)
                self._feed_as(token, token.type)
                return True
        return False

    def _closes_message(self, token: Token) -> bool:
        """Whether a "}" here would close a message, with no new message following it."""
        return len(self._machine.open_braces()) == 1 and token.type != "MESSAGE"

    def _report_missing(self, token: Token, name: str, can_come: frozenset[str]) -> None:
        following = faults.chunk(self.source, _start(token))
        place = following
        if self._begins_line(token):
            place = Span(self.source, self._previous_end, self._previous_end)
        terminals = {name} if name in _PUNCTUATION else can_come & set(_VALUES)
        diagnostic = faults.missing(place, following, terminals, self._grammar.in_words)
        self._report(diagnostic)

    def _report_misfit(self, token: Token, can_come: frozenset[str]) -> None:
        start = _start(token)
        self._break(start)
        span = faults.chunk(self.source, start)
        between_statements = all(n.lower() in KEYWORDS or n in ("RBRACE", END) for n in can_come)
        at_top = END in can_come
        if at_top and self._lost_top:
            return
        if token.type == "RBRACE" and at_top:
            self._report(faults.stray_brace(span))
        elif token in KEYWORDS and between_statements:
            self._lost_top = at_top
            self._report(faults.misplaced(span))
        else:
            self._report(faults.unexpected(span, can_come, self._grammar.in_words))

    def _break(self, start: int) -> None:
        """Give up the statement at an offset, and one that seems to end before it in its line."""
        self.broken_at.append(start)
        if "\n" not in self.source.text[self._previous_end : start]:
            self.broken_at.append(max(0, self._previous_end - 1))

    def _mend_character(self, start: int) -> None:
        """Characters that begin no token, or parentheses where none can stand."""
        text, source = self.source.text, self.source
        can_come = self._machine.all_that_can_come()
        self._break(start)
        if text[start] == '"':
            self._report(faults.unclosed_text(source, start))
            self._replace("STRING", faults.rest_of_line(source, start).end, can_come)
        elif text[start] == "(" and "ARGUMENTS" in can_come:
            self._report(faults.unclosed_parenthesis(source, start))
            line = faults.rest_of_line(source, start)
            close = line.text.rfind(")") + 1
            self._replace("ARGUMENTS", start + close if close else line.end, can_come)
        else:
            span = faults.chunk(source, start)
            self._report(faults.unexpected(span, can_come, self._grammar.in_words))
            self._replace("STRING" if faults.is_odd_quoted(span.text) else "", span.end, can_come)

    def _replace(self, name: str, end: int, can_come: frozenset[str]) -> None:
        """Take the text up to ``end`` as a token ``name`` if one can come; otherwise skip on."""
        if name in can_come:
            self._feed_dummy(name)
            self._resume(end)
        else:
            self._skip_from(end)

    # -- moving the parser -----------------------------------------------------------------------

    @property
    def _previous_end(self) -> int:
        return int(self._previous.end_pos or 0) if self._previous is not None else 0

    def _begins_line(self, token: Token) -> bool:
        return self._previous is None or token.line != self._previous.end_line

    def _span(self, token: Token) -> Span:
        return Span(self.source, _start(token), int(token.end_pos or 0))

    def _feed_as(self, token: Token, name: str) -> None:
        token.type = name
        self._machine.feed(token)
        self._previous = token

    def _feed_dummy(self, name: str) -> None:
        """Feed a token that is not in the text, just behind the previous one."""
        at = self._previous_end
        if name in _VALUES:
            self.broken_at.append(max(0, at - 1))
        self._machine.feed_dummy(name, at)

    def _skip_from(self, start: int) -> None:
        """Skip to a statement or closing brace that an earlier state has a place for."""
        self._machine.settle()
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
                if self._machine.pop_to(terminal):
                    self._resume(match.end() - len(word or "}"))
                    return
                homeless.add(terminal)
        self._machine.pop_to(END)
        self._resume(len(self.source.text))

    def _resume(self, offset: int) -> None:
        self._machine.go_to(offset)
        self._fresh = 1

    # -- the end ---------------------------------------------------------------------------------

    def _finish(self) -> None:
        if self._machine.can_come(END):
            return
        can_come = self._machine.all_that_can_come()
        if "RBRACE" in can_come:
            opener, line = self._last_opener()
            diagnostic = faults.unclosed_brace(self.source, opener, line)
        else:
            diagnostic = faults.early_end(self.source, can_come, self._grammar.in_words)
        self._report(diagnostic)

    def _last_opener(self) -> tuple[str, int]:
        """What the innermost open brace belongs to, and the line it stands in."""
        brace = self._machine.open_braces()[-1]
        before = self._machine.read_before(brace)
        keyword = [token for token in before if token.type.lower() in KEYWORDS][-1]
        head = self.source.text[keyword.start_pos : brace.start_pos].strip()
        return head if len(head) <= 40 else str(keyword), int(brace.line or 1)
