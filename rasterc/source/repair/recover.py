"""Driving the LALR parser through a text with mistakes in it.

Where the parser cannot go on, `rasterc.source.repair.repairs` brings it to a state from which it
can.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from rasterc.diagnostics import Diagnostic, SourceText
from rasterc.source.repair import extents, wording
from rasterc.source.repair.cursor import StopError, Track
from rasterc.source.repair.repairs import Mender
from rasterc.source.tree.grammar import END, grammar
from rasterc.source.tree.keywords import DECLARATIONS, KEYWORDS, SETTINGS

if TYPE_CHECKING:
    from lark import Token, Tree

_RESERVED = frozenset(KEYWORDS) - frozenset(SETTINGS)  # settings are attribute words as well
# Every way to write a statement's keyword with one letter too many, missing, wrong or swapped.
_SLIPS = re.compile(
    "|".join(
        {k[:i] + r"\w{0,2}" + k[i + 1 :] for k in KEYWORDS for i in range(len(k))}
        | {k[:i] + k[i + 1] + k[i] + k[i + 2 :] for k in KEYWORDS for i in range(len(k) - 1)}
    )
)


class Recovery:
    """One run of the parser over one text.

    After `tree`, ``diagnostics`` holds the mistakes and ``broken_at`` the offsets that lie in
    statements which could not be read whole.
    """

    def __init__(
        self, source: SourceText, max_words: int, max_faults: int, declared: frozenset[str]
    ) -> None:
        self.source = source
        self._max_words = max_words
        self._declared = declared
        self._grammar = grammar()
        self._track = Track(source, self._grammar, max_faults)
        self._machine = self._track.machine
        self._mender = Mender(self._track, declared)
        self._words = 0
        self._has_use = re.search(r'^[ \t]*use[ \t]*"', source.text, re.MULTILINE) is not None

    @property
    def diagnostics(self) -> list[Diagnostic]:
        """The mistakes, in the order found."""
        return self._track.diagnostics

    @property
    def broken_at(self) -> list[int]:
        """Offsets inside statements that could not be read whole."""
        return self._track.broken_at

    @property
    def nameless(self) -> bool:
        """Whether a statement could not be read that may declare some name."""
        return self._track.nameless

    def tree(self) -> Tree[Token]:
        """The parser's tree of everything that could be read."""
        try:
            while not self._read_whole():
                pass
            self._finish()
        except StopError:
            pass
        return self._machine.close(self._track.previous_end)

    def _read_whole(self) -> bool:
        """Read on to the end, True, or over one mistake, False."""
        from lark.exceptions import UnexpectedCharacters, UnexpectedToken

        try:
            self._read_on()
        except UnexpectedToken as error:
            self._mender.mend(error.token)
        except UnexpectedCharacters as error:
            self._mender.mend_character(error.pos_in_stream or 0)
        else:
            return True
        return False

    def _read_on(self) -> None:
        feed, track = self._machine.feed, self._track
        for token in self._machine.tokens():
            if track.as_names and token in track.as_names and self._is_name_again(token):
                token.type = "NAME"
            elif token.type == "NAME":
                self._reread(token)
            elif token.type == "STRING" and self._machine.may_come("COLON"):
                self._end_attributes(token)
            feed(token)
            track.previous = token
            track.fresh += 1
            self._words += 1
            if self._words > self._max_words:
                place = track.span(token)
                self.diagnostics.append(wording.too_many_words(place, self._max_words))
                raise StopError

    def _reread(self, token: Token) -> None:
        """See a keyword, or a slip of one that begins a line, where the lexer saw a name."""
        if token in _RESERVED:
            token.type = self._grammar.terminal_of(str(token))
        elif token in SETTINGS and str(self._track.previous) in DECLARATIONS:
            self._mender.take_as_name(token)
        elif _SLIPS.fullmatch(token) and self._track.begins_line(token) and self._is_slip(token):
            keyword = extents.near_keyword(token, KEYWORDS)
            self._track.report(wording.typo(self._track.span(token), keyword))
            token.type = self._grammar.terminal_of(keyword)

    def _is_name_again(self, token: Token) -> bool:
        """Whether a keyword that was declared as a name is meant as that name here."""
        behind = self.source.text[token.end_pos or 0 :][:20].lstrip()
        begins = self._track.begins_line(token) or behind.startswith((":", "{"))
        return not begins and self._machine.can_come("NAME")

    def _end_attributes(self, token: Token) -> None:
        """Put in the ":" before a line's first text: only ``font`` is followed by a text."""
        if self._track.previous != "font" and self._machine.can_come("COLON"):
            following = self._track.span(token)
            in_words = self._grammar.in_words
            self._track.report(wording.missing(following, following, {"COLON"}, in_words))
            self._track.feed_dummy("COLON")

    def _is_slip(self, token: Token) -> bool:
        """Whether a name where a statement can begin is no declared name but a slip."""
        if self._has_use or token in self._declared:
            return False
        keyword = extents.near_keyword(token, KEYWORDS)
        return bool(keyword) and self._machine.can_come(self._grammar.terminal_of(keyword))

    def _finish(self) -> None:
        if self._machine.can_come(END):
            return
        can_come = self._machine.all_that_can_come()
        if "RBRACE" in can_come:
            opener, line = self._last_opener()
            diagnostic = wording.unclosed_brace(self.source, opener, line)
        else:
            diagnostic = wording.early_end(self.source, can_come, self._grammar.in_words)
        self._track.report(diagnostic)

    def _last_opener(self) -> tuple[str, int]:
        """What the innermost open brace belongs to, and the line it stands in."""
        brace = self._machine.open_braces()[-1]
        before = self._machine.read_before(brace)
        keyword = [token for token in before if token.type.lower() in KEYWORDS][-1]
        head = self.source.text[keyword.start_pos : brace.start_pos].strip()
        return head if len(head) <= 40 else str(keyword), int(brace.line or 1)
