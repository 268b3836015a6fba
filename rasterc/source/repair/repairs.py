"""Mending the text at a token that cannot stand where it does.

In this order:

1. a known habit (`rasterc.source.repair.foreign_ways`) is reported with its remedy and passed over;
2. a word that stands twice is left out, and words before a lone quote are taken as a text;
3. a reserved word is taken as a name, a word close to a keyword as that keyword;
4. what is plainly too much or too little is left out or put in: a comma, a ``line:``, quotes;
5. if one missing token would make it fit, that token is put in;
6. otherwise the text is skipped up to the next statement that begins a line, or closing brace, for
   which an earlier state of the parser has a place; what was begun since that state is dropped.

Each step reports once. A mistake directly after another one is taken for its consequence.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from rasterc.diagnostics import Span
from rasterc.source.repair import extents, foreign_ways, wording
from rasterc.source.repair.cursor import VALUES, Track, start_of
from rasterc.source.tree.grammar import END
from rasterc.source.tree.keywords import KEYWORDS

if TYPE_CHECKING:
    from lark import Token

# What is put in when it is missing, most likely first. `VALUES` leave the statement unusable.
_PUNCTUATION = (
    *("COLON", "EQUAL", "COMMA", "LBRACE"),
    *("FROM", "TO", "OF", "IN", "BECAUSE", "ON", "RBRACE"),
)
_SEPARATORS = (",", ";", "+")


class Mender:
    """Mends mistakes at the parser's place."""

    def __init__(self, track: Track, declared: frozenset[str]) -> None:
        self._track = track
        self._source = track.source
        self._machine = track.machine
        self._grammar = track.grammar
        self._declared = declared
        self._lost_top = False  # statements outside a message were already reported
        self._told = (-1, "")  # the statement, by its offset, and what was left out in it last

    def mend(self, token: Token) -> None:
        """Report a token that cannot come, and go on at it or behind it."""
        start = start_of(token)
        if token.type == "ARGUMENTS":
            self.mend_character(start)
            return
        can_come = self._machine.all_that_can_come()
        if self._mend_habit(start) or self._leave_out(start, can_come):
            return
        if self._mend_doubled(token) or self._mend_unopened(start, can_come):
            return
        if self._mend_name(token, can_come) or self._mend_typo(token, can_come):
            return
        if self._mend_bare_text(token, can_come) or self._mend_time(start, can_come):
            return
        if self._mend_unquoted(token, can_come) or self._put_in(token, can_come):
            return
        self._report_misfit(token, can_come)
        # "use" has its place outside the message, which must not end here because of it.
        self._track.note_name(start, can_come)
        self._track.skip_from(int(token.end_pos or 0) if token == "use" else start)

    def mend_character(self, start: int) -> None:
        """Report characters that begin no token, or parentheses where none can stand."""
        text, source, track = self._source.text, self._source, self._track
        can_come = self._machine.all_that_can_come()
        if self._mend_habit(start) or self._leave_out(start, can_come):
            return
        if text[start] != '"' and self._mend_time(start, can_come):
            return
        if extents.is_invisible(text[start]):
            track.report(wording.invisible(Span(source, start, start + 1)))
            self._machine.go_to(start + 1)
            return
        track.break_statement(start)
        if text[start] == '"':
            self._mend_quote(start, can_come)
        elif text[start] == "(" and "ARGUMENTS" in can_come:
            track.report(wording.unclosed_parenthesis(source, start))
            line = extents.rest_of_line(source, start)
            close = line.text.rfind(")") + 1
            track.replace("ARGUMENTS", start + close if close else line.end, can_come)
        else:
            span = extents.chunk(source, start)
            if text[start] != ")" or not track.told_in_line(start):  # its "(" may be missing
                track.report(wording.unexpected(span, can_come, self._grammar.in_words))
            meant = extents.meant_by_sign(span, can_come, len(self._machine.open_braces()))
            if meant:
                track.replace(meant, span.end, can_come)
            else:
                track.note_name(start, can_come)
                track.skip_from(span.end)

    def _mend_quote(self, start: int, can_come: frozenset[str]) -> None:
        """Report the one quote of a text: its first, or its last when it directly follows a word.

        Braces behind the text close what was opened on its line, and what nothing else closes.
        """
        track, source = self._track, self._source
        if "STRING" not in can_come or start == track.previous_end > 0:
            end = start + 1
            word = track.previous_start if start == track.previous_end else start
            track.report(wording.unopened_text(Span(source, word, end)))
            track.resume(end)
            track.fresh = 0
            return
        line = source.text.rfind("\n", 0, start)
        opened = self._machine.open_braces()
        on_line = sum(start_of(brace) > line for brace in opened)
        braces = max(on_line, len(opened) - extents.closed_after_line(source, start))
        track.report(wording.unclosed_text(source, start))
        track.replace("STRING", extents.end_of_unclosed(source, start, braces), can_come)

    # -- what is too much ------------------------------------------------------------------------

    def _mend_habit(self, start: int) -> bool:
        """Pass over something written as elsewhere; what follows may still fit."""
        statement = self._track.statement
        found = (
            foreign_ways.find(self._source, statement, start, self._declared) if statement else None
        )
        if found is None:
            return False
        self._track.report(found.diagnostic)
        self._track.break_statement(start)
        self._machine.go_to(found.end)
        return True

    def _leave_out(self, start: int, can_come: frozenset[str]) -> bool:
        """Pass over a separator where none belongs; several in a statement are reported once."""
        sign = self._source.text[start]
        statement = self._track.statement
        if sign not in _SEPARATORS or statement is None or END in can_come:
            return False
        if sign == "+" and not {"STRING", "NAME", "RBRACE"} <= can_come:
            return False
        told = (statement.start, sign)
        if told != self._told:
            place = Span(self._source, start, start + 1)
            self._track.report(wording.superfluous(place, can_come, self._grammar.in_words))
        self._told = told
        self._machine.go_to(start + 1)
        return True

    def _mend_doubled(self, token: Token) -> bool:
        """Pass over a word that stands twice."""
        if not self._track.repeats(token) or not (token[:1].isalnum() or token == "{"):
            return False
        self._track.report(wording.doubled(self._track.span(token)))
        self._machine.go_to(int(token.end_pos or 0))
        return True

    # -- what is written wrong -------------------------------------------------------------------

    def _mend_unopened(self, start: int, can_come: frozenset[str]) -> bool:
        """Take words up to a quote that closes no text as that text."""
        span = extents.unopened(self._source, start)
        if span is None or "STRING" not in can_come:
            return False
        self._track.report(wording.unopened_text(span))
        self._track.broken_at.append(start)
        self._track.replace("STRING", span.end, can_come)
        return True

    def take_as_name(self, token: Token) -> None:
        """Report a keyword that is declared as a name, and go on with it as a name."""
        self._track.report(wording.reserved(self._track.span(token)))
        self._track.broken_at.append(start_of(token))
        self._track.as_names.add(str(token))
        token.type = "NAME"

    def _mend_name(self, token: Token, can_come: frozenset[str]) -> bool:
        track = self._track
        if token not in KEYWORDS or "NAME" not in can_come or track.begins_line(token):
            return False
        if self._machine.can_come("LBRACE", token.type):  # the brace of its block is missing
            return False
        self.take_as_name(token)
        track.feed_as(token, "NAME")
        return True

    def _mend_typo(self, token: Token, can_come: frozenset[str]) -> bool:
        literals = {self._grammar.literal(name): name for name in can_come}
        words = [word for word in literals if word.isalpha()]
        if "SIGN" in can_come and not self._track.begins_line(token):
            words = [word for word in words if word not in KEYWORDS]  # inside a clock's steps
        keyword = extents.near_keyword(token, words) if token.isidentifier() else ""
        if not keyword or token in KEYWORDS:
            return False
        self._track.report(wording.typo(self._track.span(token), keyword))
        self._track.feed_as(token, literals[keyword])
        return True

    def _mend_time(self, start: int, can_come: frozenset[str]) -> bool:
        span = extents.times(self._source, start)
        if "TIME" not in can_come or not any(c.isdecimal() for c in span.text):
            return False
        self._track.report(wording.no_time(span, foreign_ways.time_remedy(span.text)))
        self._track.break_statement(start)
        self._track.replace("TIME", span.end, can_come)
        return True

    def _mend_unquoted(self, token: Token, can_come: frozenset[str]) -> bool:
        if token.type not in ("NAME", "NUMBER") or "STRING" not in can_come:
            return False
        start = start_of(token)
        span = extents.chunk(self._source, start)
        statement = self._track.statement
        if statement is not None and statement.text == "expect" and "RBRACE" in can_come:
            span = extents.bare_words(self._source, start)
        self._track.report(wording.unquoted(span))
        self._track.broken_at.append(start)
        self._track.replace("STRING", span.end, can_come)
        return True

    # -- what is missing -------------------------------------------------------------------------

    def _mend_bare_text(self, token: Token, can_come: frozenset[str]) -> bool:
        """Put in ``line:`` before a text or field that stands in a block by itself."""
        start = start_of(token)
        field = token.type == "NAME" and (
            token in self._declared or self._source.text.startswith("(", token.end_pos or 0)
        )
        if "LINE" not in can_come or not (token.type == "STRING" or field):
            return False
        self._track.report(wording.bare_text(extents.chunk(self._source, start)))
        self._track.broken_at.append(start)
        self._track.feed_dummy("LINE")
        self._track.feed_dummy("COLON")
        self._track.feed_as(token, token.type)
        return True

    def _put_in(self, token: Token, can_come: frozenset[str]) -> bool:
        """Put in the one token without which ``token`` has no place."""
        for name in (*_PUNCTUATION, *VALUES):
            if name not in can_come or (name == "RBRACE" and self._track.closes_message(token)):
                continue
            if name == "TO" and "SIGN" in can_come:  # a clock's step need not be one with "to"
                continue
            if name == "ON" and str(token)[:3] not in foreign_ways.DAYS:
                continue
            for terminal in dict.fromkeys((token.type, str(token).upper())):
                if self._machine.can_come(name, terminal):
                    if name == "NAME":
                        self._track.nameless |= self._track.names_declared(can_come)
                    self._report_missing(token, name, can_come)
                    self._track.feed_dummy(name)
                    self._track.feed_as(token, terminal)
                    return True
        return False

    def _report_missing(self, token: Token, name: str, can_come: frozenset[str]) -> None:
        following = extents.chunk(self._source, start_of(token))
        place = following
        if self._track.begins_line(token):
            end = self._track.previous_end
            place = Span(self._source, end, end)
        if self._track.previous == self._grammar.literal(name):  # it was read as the name here
            self._track.nameless |= self._track.named
            self._track.broken_at.append(max(0, self._track.previous_end - 1))
            place = Span(self._source, self._track.previous_start, self._track.previous_end)
            self._track.report(wording.missing(place, place, {"NAME"}, self._grammar.in_words))
            return
        if name == "OF" and "SIGN" in can_come and self._track.previous != "start":
            self._track.report(wording.no_step(following))
            return
        terminals = {name} if name in _PUNCTUATION else can_come & set(VALUES)
        self._track.report(wording.missing(place, following, terminals, self._grammar.in_words))

    # -- what is not understood ------------------------------------------------------------------

    def _report_misfit(self, token: Token, can_come: frozenset[str]) -> None:
        start = start_of(token)
        self._track.break_statement(start)
        span = extents.chunk(self._source, start)
        between_statements = all(n.lower() in KEYWORDS or n in ("RBRACE", END) for n in can_come)
        at_top = END in can_come
        if at_top and self._lost_top:
            return
        if token.type == "RBRACE" and at_top:
            self._track.report(wording.stray_brace(span))
        elif token in KEYWORDS and between_statements:
            self._lost_top = at_top
            self._track.report(wording.misplaced(span))
        elif "SIGN" in can_come:
            self._track.report(wording.no_step(span))
        else:
            self._track.report(wording.unexpected(span, can_come, self._grammar.in_words))
