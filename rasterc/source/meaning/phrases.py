"""Reading options: the words of a phrase, one after another."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from difflib import get_close_matches
from typing import TypeVar

from rasterc.diagnostics import InputError, Span
from rasterc.source.meaning.scope import Problems
from rasterc.source.pieces import Word
from rasterc.source.tree.syntax import Phrase

T = TypeVar("T")

MAX_NUMBER = 10**18

_TIME = re.compile(r"([0-9]{1,2}):([0-9]{2})(?::([0-9]{2}))?")


def nearest(text: str, choices: Iterable[str]) -> str:
    """A help text naming the word that was probably meant, or "".

    Short words must be nearer than `did_you_mean` asks for: "end" is no slip of "wed".

    >>> nearest("fryday", ["month", "friday"]), nearest("end", ["wed", "month"])
    ('did you mean "friday"?', '')
    """
    near = get_close_matches(text.lower(), list(choices), n=1, cutoff=0.76)
    return f'did you mean "{near[0]}"?' if near else ""


def _known(choices: Sequence[str]) -> str:
    return "known: " + ", ".join(choices) if 1 < len(choices) <= 12 else ""


def whole_number(word: Word, what: str, low: int, high: int) -> int:
    """The value of a word that must be a whole number from ``low`` to ``high``.

    Raises:
        InputError: it is not.
    """
    if not word.quoted and re.fullmatch("[0-9]{1,19}", word.text) and low <= int(word.text) <= high:
        return int(word.text)
    raise InputError.one(
        "bad-number",
        f"{what} is a whole number from {low} to {high}, not {word.span.text[:30]}",
        word.span,
    )


def time_of(word: Word) -> tuple[int, int, int]:
    """Hour, minute and second of a time of day.

    Raises:
        InputError: there is no such time.
    """
    match = _TIME.fullmatch(word.text)
    if match:
        hour, minute, second = (int(part or 0) for part in match.groups())
        if hour < 24 and minute < 60 and second < 60:
            return hour, minute, second
    raise InputError.one(
        "bad-time",
        f"there is no time {word.text}",
        word.span,
        "times of day go from 00:00 to 23:59",
    )


def minutes_of(word: Word) -> int:
    """Minutes from midnight of a time without seconds.

    Raises:
        InputError: there is no such time.
    """
    hour, minute, _ = time_of(word)
    if word.text.count(":") > 1:
        raise InputError.one(
            "bad-time", "this time is written in hours and minutes", word.span, "leave out seconds"
        )
    return hour * 60 + minute


class Reader:
    """The words of one option, read from left to right. Each method raises InputError."""

    def __init__(self, words: Sequence[Word], whole: Span, others: Iterable[str] = ()) -> None:
        """``others``: the words that begin another option; before one a comma is missing."""
        self._words = words
        self._whole = whole
        self._others = frozenset(others)
        self._next = 0

    @property
    def more(self) -> bool:
        """Whether a word is left."""
        return self._next < len(self._words)

    def sees(self, *texts: str) -> bool:
        """Whether the next word is one of these, unquoted."""
        return self.more and not self._here.quoted and self._here.text in texts

    def word(self, *choices: str, what: str = "", help: str = "") -> str:
        """The next word, which must be one of ``choices``; ``help`` is for one near none."""
        if self.more and not self._here.quoted and self._here.text in choices:
            return self._take().text
        listed = " or ".join(f'"{choice}"' for choice in choices)
        wanted = what or (listed if len(choices) <= 4 else "one of the known words")
        text = self._here.text if self.more else ""
        raise self.wrong(wanted, nearest(text, choices) or help or _known(choices))

    def name(self, what: str) -> Word:
        """The next word, a name."""
        here = self._here if self.more else None
        if here and not (here.quoted or _is_column(here) or here.text[0].isdigit()):
            return self._take()
        raise self.wrong(what)

    def column(self) -> Word | None:
        """The next word if it is a column of a table, ``products.name``."""
        return self._take() if self.more and _is_column(self._here) else None

    def quoted(self, what: str) -> Word:
        """The next word, in double quotes."""
        if self.more and self._here.quoted:
            return self._take()
        raise self.wrong(f"{what} in double quotes")

    def any(self, what: str) -> Word:
        """The next word, whatever it is."""
        if self.more:
            return self._take()
        raise self.wrong(what)

    def number(self, what: str, low: int, high: int) -> int:
        """The next word, a whole number in a range."""
        if not self.more:
            raise self.wrong(f"{what}, a whole number from {low} to {high},")
        return whole_number(self._take(), what, low, high)

    def end(self) -> None:
        """Make sure no word is left."""
        if self.more:
            self._refuse_missing_comma()
            raise InputError.one(
                "unexpected-word",
                f"this is one word too many: {self._here.span.text[:30]}",
                self._here.span,
                "options are separated by commas",
            )

    def skip_to(self, texts: Iterable[str]) -> None:
        """Pass over words up to one of these."""
        known = frozenset(texts)
        while self.more and (self._here.quoted or self._here.text not in known):
            self._next += 1

    def wrong(self, wanted: str, help: str = "") -> InputError:
        """The next word, or the end, is not what is wanted."""
        if self.more:
            self._refuse_missing_comma()
            found = self._here.span
            message = f"expected {wanted}, but found {found.text[:30]}"
            return InputError.one("unknown-option", message, found, help)
        last = self._words[self._next - 1].span if self._next else self._whole
        message = f"expected {wanted} after {last.text[:30]}"
        return InputError.one("missing-word", message, Span(last.source, last.end, last.end), help)

    def _refuse_missing_comma(self) -> None:
        """The next word is not wanted here, but could begin the next option."""
        if self._next and self.sees(*self._others):
            before, word = self._words[self._next - 1].span.text, self._here.text
            raise InputError.one(
                "missing-comma",
                f"a comma is missing before {word}",
                self._here.span,
                f"options are separated by commas: {before[-30:]}, {word} ...",
            )

    @property
    def whole(self) -> Span:
        """The place of all the words."""
        return self._whole

    @property
    def here(self) -> Span:
        """The place of the next word, or the end."""
        return self._here.span if self.more else self._whole

    @property
    def _here(self) -> Word:
        return self._words[self._next]

    def _take(self) -> Word:
        self._next += 1
        return self._words[self._next - 1]


def _is_column(word: Word) -> bool:
    return not word.quoted and "." in word.text and not word.text[0].isdigit()


Handler = Callable[[T, Reader], T]


def apply_options(
    base: T,
    phrases: Sequence[Phrase],
    handlers: Mapping[str, Handler[T]],
    problems: Problems,
    several: Collection[str] = (),
) -> T:
    """``base`` changed by each option in turn; wrong options are reported and left out.

    The first word of an option chooses its handler; of those in ``several`` the second word tells
    options apart.
    """
    seen: dict[str, Span] = {}
    for phrase in phrases:
        if problems.full:
            break
        with problems.catching():
            reader = Reader(phrase.words, phrase.span, handlers)
            place = reader.here
            keyword = reader.word(*handlers, what="an option")
            changed = handlers[keyword](base, reader)
            once(_key(phrase) if keyword in several else keyword, place, seen)
            reader.end()
            base = changed
    return base


def _key(phrase: Phrase) -> str:
    return " ".join(word.text for word in phrase.words[:2])


def apply_attributes(
    base: T,
    words: Sequence[Word],
    whole: Span,
    handlers: Mapping[str, Handler[T]],
    problems: Problems,
) -> T:
    """``base`` changed by attributes that follow one another without commas."""
    reader = Reader(words, whole)
    seen: dict[str, Span] = {}
    while reader.more and not problems.full:
        with problems.catching():
            place = reader.here
            keyword = reader.word(*handlers, what="an attribute")
            changed = handlers[keyword](base, reader)
            once(keyword, place, seen)
            base = changed
            continue
        reader.skip_to(handlers)
    return base


def once(keyword: str, place: Span, seen: dict[str, Span]) -> None:
    """Note that an option is there; refuse it the second time.

    Raises:
        InputError: it was there before.
    """
    if keyword in seen:
        raise InputError.one(
            "duplicate-option",
            f'"{keyword}" is given twice',
            place,
            f"the first one is in line {seen[keyword].line}, column {seen[keyword].column}",
        )
    seen[keyword] = place
