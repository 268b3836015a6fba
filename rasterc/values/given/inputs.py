"""Inputs: texts given at job start or read from a data row, held against what they may be."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from msgspec import Struct

from rasterc.diagnostics import Diagnostic, Span
from rasterc.source.declarations import Input
from rasterc.source.quoting import composed
from rasterc.values.given.characters import is_printable

if TYPE_CHECKING:
    from rasterc.values.given.automaton import Automaton
    from rasterc.values.given.regex import RegexFault

MAX_LENGTH = 64  # characters of an input that states no length
MAX_PATTERN = 1000  # characters of a pattern

_UNIT = re.compile(r"\\(?:[uN]\{[^}]*\}|.)|.", re.DOTALL)


class InputRule(Struct, frozen=True):
    """An input with its pattern read. ``automaton`` is None when it has no pattern."""

    input: Input
    automaton: Automaton | None

    @property
    def max_length(self) -> int:
        """The most characters its text can have."""
        return MAX_LENGTH if self.input.max_length is None else self.input.max_length

    def faults(self, text: str, span: Span | None) -> list[Diagnostic]:
        """Everything that keeps ``text`` from being this input, reported at ``span``."""
        complaints = (
            self._unprintable(text),
            self._wrong_length(text),
            self._no_choice(text),
            self._mismatch(text),
        )
        return [
            Diagnostic(
                "input-mismatch", f'input {self.input.name} cannot be "{text}": {why}', span, help
            )
            for why, help in filter(None, complaints)
        ]

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
        if not choices or text in choices:
            return None
        return "it is none of the choices", "give one of " + ", ".join(f'"{c}"' for c in choices)

    def _mismatch(self, text: str) -> tuple[str, str] | None:
        if self.automaton is None or self.automaton.matches(text):
            return None
        return f"it does not match {self.input.pattern}", "the whole text has to match the pattern"


def input_rule(declared: Input, *, texts: bool = True) -> tuple[InputRule, list[Diagnostic]]:
    """The rule of a declared input, and what is wrong with its pattern, choices and default.

    Without ``texts`` only the pattern is looked at.
    """
    automaton, faults = _automaton(declared)
    rule = InputRule(declared, automaton)
    if texts and not faults:
        for text in declared.choices:
            faults += rule.faults(composed(text), declared.span)
        if declared.default is not None:
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
