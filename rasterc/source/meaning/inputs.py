"""Inputs."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import structs

from rasterc.diagnostics import InputError, Span
from rasterc.source.declarations import Input
from rasterc.source.meaning.phrases import Reader, apply_options
from rasterc.source.meaning.products import check_text
from rasterc.source.meaning.scope import Scope
from rasterc.source.meaning.typed_dates import check_date, date_handlers
from rasterc.source.tree import syntax as s

MAX_INPUT_LENGTH = 64
"""The longest text an input takes when the message sets no other limit."""

_LONGEST = 1_000
MAX_CHOICES = 2_000
"""Choices of an input: few enough for somebody to choose from, and to be looked at one by one."""


def input_(node: s.InputNode, scope: Scope) -> Input:
    """The input a node declares.

    Raises:
        InputError: it has a mistake that leaves no input.
    """
    options = _with_listed_choices(node.options)
    given = apply_options(
        Input(node.name.text, node.span),
        options,
        {**_HANDLERS, **date_handlers(scope)},
        scope.problems,
        several=("not",),
    )
    if given.date is not None:
        check_date(given)
        return given
    if given.pattern is not None and (given.choices or given.choices_from):
        raise InputError.one(
            "conflicting-options",
            f'the input "{given.name}" has both a pattern and choices',
            given.pattern_span,
            "keep `matching` or `one of`",
        )
    if given.choices_from is not None:
        _check_column(node, scope)
    if given.pattern is None and not given.choices and given.max_length is None:
        given = structs.replace(given, max_length=MAX_INPUT_LENGTH)
    _check_texts(options, given)
    return given


def _check_column(node: s.InputNode, scope: Scope) -> None:
    """Make sure that the column of its choices is there; raises `InputError`."""
    for phrase in node.options:
        if phrase.words[0].text == "one":
            check_text(phrase.words[-1], scope)


def _with_listed_choices(phrases: Sequence[s.Phrase]) -> list[s.Phrase]:
    """Phrases in which choices may be separated by commas: ``one of "A", "B"``."""
    merged: list[s.Phrase] = []
    for phrase in phrases:
        if merged and phrase.words[0].quoted and merged[-1].words[0].text == "one":
            words = (*merged[-1].words, *phrase.words)
            span = merged[-1].span
            merged[-1] = s.Phrase(words, Span(span.source, span.start, phrase.span.end))
        else:
            merged.append(phrase)
    return merged


def _check_texts(options: Sequence[s.Phrase], given: Input) -> None:
    """Choices and default must keep the other limits. Patterns are matched elsewhere."""
    for phrase in options:
        for word in phrase.words:
            if word.quoted and phrase.words[0].text in ("default", "one"):
                low, high = given.min_length or 0, given.max_length or _LONGEST
                if not low <= len(word.text) <= high:
                    wanted = f"{low}" if low == high else f"{low} to {high}"
                    message = f"this text is {len(word.text)} characters long, not {wanted}"
                    raise InputError.one("bad-length", message, word.span)
                if given.choices and word.text not in given.choices:
                    help = "choices: " + ", ".join(given.choices[:12])
                    message = f'"{word.text}" is not one of the choices'
                    raise InputError.one("not-a-choice", message, word.span, help)


def _matching(given: Input, reader: Reader) -> Input:
    pattern = reader.quoted("a pattern")
    return structs.replace(given, pattern=pattern.text, pattern_span=pattern.span)


def _one(given: Input, reader: Reader) -> Input:
    reader.word("of")
    column = reader.column()
    if column is not None:
        return structs.replace(given, choices_from=column.text)
    choices = [reader.quoted("a choice")]
    while reader.more:
        choices.append(reader.quoted("a choice"))
        if len(choices) > MAX_CHOICES:
            message = f'the input "{given.name}" has more than {MAX_CHOICES:,} choices'
            help = "let a pattern tell them: matching PATTERN"
            raise InputError.one("too-many-choices", message, choices[-1].span, help)
    seen: set[str] = set()
    for choice in choices:
        if choice.text in seen:
            message = f'the choice "{choice.text}" stands twice'
            raise InputError.one("duplicate-choice", message, choice.span)
        seen.add(choice.text)
    return structs.replace(given, choices=tuple(choice.text for choice in choices))


def _length(given: Input, reader: Reader) -> Input:
    low = high = reader.number("the length", 0, _LONGEST)
    if reader.sees("to"):
        reader.word("to")
        place = reader.here
        high = reader.number("the greatest length", 0, _LONGEST)
        if high < low:
            raise InputError.one("bad-length", f"{high} is less than {low}", place)
    return structs.replace(given, min_length=low, max_length=high)


def _default(given: Input, reader: Reader) -> Input:
    return structs.replace(given, default=reader.quoted("a text").text)


_HANDLERS = {"matching": _matching, "one": _one, "length": _length, "default": _default}
