"""Inputs: texts given at job start or read from a data row, held against what they may be."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from msgspec import Struct, structs

from rasterc.diagnostics import Diagnostic, Span, did_you_mean
from rasterc.source.declarations import Input
from rasterc.source.quoting import composed
from rasterc.values.given.characters import is_printable

if TYPE_CHECKING:
    from rasterc.values.dates.typed import TypedDate
    from rasterc.values.given.automaton import Automaton
    from rasterc.values.given.regex import RegexFault

MAX_LENGTH = 64  # characters of an input that states no length
MAX_PATTERN = 1000  # characters of a pattern

_SHOWN = 12  # choices that are named
_COMPARED = 2_000  # choices that a wrong text is compared with

_UNIT = re.compile(r"\\(?:[uN]\{[^}]*\}|.)|.", re.DOTALL)


class InputRule(Struct, frozen=True):
    """An input with its pattern read.

    Attributes:
        automaton: None when it has no pattern.
        choices: those of the input.
        texts: its choices that it can be, in Unicode normal form C, by length and then in order.
        date: how it is typed, of an input that is a date.
    """

    input: Input
    automaton: Automaton | None
    choices: frozenset[str] = frozenset()
    texts: tuple[str, ...] = ()
    date: TypedDate | None = None

    @property
    def max_length(self) -> int:
        """The most characters its text can have."""
        return MAX_LENGTH if self.input.max_length is None else self.input.max_length

    @property
    def remedy(self) -> str:
        """What to do when it is not given."""
        name = self.input.name
        if self.date is not None:
            return f"give it: --set {name}={self.date.example}, as {self.date.form.pattern}"
        return f'give it: --set {name}=TEXT, or declare a default: input {name}, default "..."'

    def faults(self, text: str, span: Span | None) -> list[Diagnostic]:
        """Everything that keeps ``text`` from being this input, reported at ``span``."""
        complaints = (
            self._unprintable(text),
            self._wrong_length(text),
            self._no_choice(text),
            self._mismatch(text),
            self.date.complaint(text) if self.date else None,
        )
        return [
            Diagnostic(
                "input-mismatch", f'input {self.input.name} cannot be "{text}": {why}', span, help
            )
            for why, help in filter(None, complaints)
        ]

    def takes_all(self, choices: Sequence[str]) -> bool:
        """Whether it is seen at once that all of its choices are sound."""
        lengths = {*map(len, choices)}
        low, high = self.input.min_length or 0, self.max_length
        fit = low <= min(lengths, default=low) and max(lengths, default=0) <= high
        same = self.choices.issuperset(choices)
        return (
            fit and same and self.automaton is None and all(map(is_printable, {*"".join(choices)}))
        )

    def _unprintable(self, text: str) -> tuple[str, str] | None:
        bad = sorted({f"U+{ord(c):04X}" for c in text if not is_printable(c)})
        return (f"{', '.join(bad)} cannot be printed", "leave it out") if bad else None

    def _wrong_length(self, text: str) -> tuple[str, str] | None:
        least, most = self.input.min_length or 0, self.max_length
        if least <= len(text) <= most:
            return None
        wanted = f"{least}" if least == most else f"{least} to {most}"
        return f"it has {len(text)} characters", f"give {wanted} characters"

    def _no_choice(self, text: str) -> tuple[str, str] | None:
        choices = self.input.choices
        if not choices or text in self.choices:
            return None
        shown = ", ".join(f'"{c}"' for c in choices[:_SHOWN])
        if len(choices) <= _SHOWN:
            return "it is none of the choices", f"give one of {shown}"
        near = did_you_mean(text, choices) if len(choices) <= _COMPARED else ""
        return f"it is none of the {len(choices):,} choices", near or f"choices: {shown}, ..."

    def _mismatch(self, text: str) -> tuple[str, str] | None:
        if self.automaton is None or self.automaton.matches(text):
            return None
        return f"it does not match {self.input.pattern}", "the whole text has to match the pattern"


def input_rule(declared: Input, *, texts: bool = True) -> tuple[InputRule, list[Diagnostic]]:
    """The rule of a declared input, and what is wrong with its pattern, choices and default.

    Without ``texts`` only the pattern is looked at.
    """
    automaton, faults = _automaton(declared)
    rule = InputRule(declared, automaton, frozenset(declared.choices))
    if declared.choices:
        choices = [*map(composed, declared.choices)]
        sound = (
            choices if rule.takes_all(choices) else [t for t in choices if not rule.faults(t, None)]
        )
        in_order = sorted(set(sound), key=lambda text: (len(text), text))
        rule = structs.replace(rule, texts=tuple(in_order))
        if texts and not faults and len(sound) < len(choices):
            faults += (fault for text in choices for fault in rule.faults(text, declared.span))
    if texts and not faults and declared.default is not None:
        faults += rule.faults(composed(declared.default), declared.span)
    return rule, faults


def _automaton(declared: Input) -> tuple[Automaton | None, list[Diagnostic]]:
    if declared.pattern is None:
        return None, []
    # Imported here: most messages have no patterns, and start sooner without.
    from rasterc.values.given.automaton import MAX_PLACES, TooLargeError, build_automaton
    from rasterc.values.given.regex import parse_regex

    span = declared.pattern_span or declared.span
    if len(declared.pattern) > MAX_PATTERN:
        return None, [_too_large(span, f"it has more than {MAX_PATTERN} characters")]
    tree, faults = parse_regex(composed(declared.pattern))
    if faults:
        return None, [_diagnostic(fault, declared) for fault in faults]
    try:
        return build_automaton(tree), []
    except TooLargeError:
        why = f"with its repeats written out it has more than {MAX_PLACES} characters, or too many"
        return None, [_too_large(span, f"{why} that may be left out")]


def _too_large(span: Span, why: str) -> Diagnostic:
    message = f"the input pattern is too large: {why}"
    help = "repeat fewer times, or state the length instead"
    return Diagnostic("bad-input-pattern", message, span, help)


def _diagnostic(fault: RegexFault, declared: Input) -> Diagnostic:
    span = _place(fault, declared.pattern_span, declared.pattern or "") or declared.span
    return Diagnostic("bad-input-pattern", f"input pattern: {fault.message}", span, fault.help)


def _place(fault: RegexFault, span: Span | None, pattern: str) -> Span | None:
    """Where a fault stands in the source: each escape there is one character of the pattern."""
    if span is None:
        return None
    inner = 1 if span.text.startswith('"') else 0
    units = list(_UNIT.finditer(span.text[inner : len(span.text) - inner]))
    if len(units) != len(pattern):  # written in a way not foreseen here: show the whole
        return span
    starts = [unit.start() for unit in units] + [len(span.text) - 2 * inner]
    return span.part(inner + starts[fault.start], inner + starts[min(fault.end, len(units))])
