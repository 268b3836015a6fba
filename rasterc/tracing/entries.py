"""Sets of texts an input can have, told by what is known of their characters."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice

from rasterc.domain.inputwords import input_words
from rasterc.source.quoting import composed
from rasterc.tracing.templates import UNREAD, Lengths, Template, any_of, matcher, meet
from rasterc.values.given.automaton import Automaton, States
from rasterc.values.given.characters import is_printable
from rasterc.values.given.inputs import InputRule

MAX_TEXTS = 20  # texts or patterns named for one input


@dataclass(frozen=True, slots=True)
class InputSet:
    """Texts of an input that fit one of ``templates``, or are among ``listed`` if that is given."""

    rule: InputRule
    templates: tuple[Template, ...] = ()
    listed: frozenset[str] | None = None

    def meet(self, other: InputSet) -> InputSet:
        """The texts in both sets."""
        if self.listed is not None:
            kept = (text for text in self.listed if other.holds(text))
            return InputSet(self.rule, (), frozenset(kept))
        if other.listed is not None:
            return other.meet(self)
        pairs = (meet(a, b) for a in self.templates for b in other.templates)
        found = dict.fromkeys(t for t in pairs if t is not None)
        return InputSet(self.rule, tuple(t for t in found if is_possible(self.rule, t)))

    def holds(self, text: str) -> bool:
        """Whether a text of the input is in the set."""
        if self.listed is not None:
            return text in self.listed
        return any(matcher(template)(text) for template in self.templates)

    def is_empty(self) -> bool:
        """Whether the input never has a text of the set."""
        return not (self.templates if self.listed is None else self.listed)

    def texts(self, limit: int) -> list[str] | None:
        """The texts, sorted; None when there are more than ``limit`` or they have no end."""
        if self.listed is not None:
            return sorted(self.listed) if len(self.listed) <= limit else None
        found: set[str] = set()
        for template in self.templates:
            spelled = _spelled(self.rule, template)
            if spelled is None:
                return None
            found.update(islice(spelled, limit + 1))
            if len(found) > limit:
                return None
        return sorted(found)

    def shown(self) -> tuple[str, ...]:
        """The texts for a person to read: `?` for a character that is not known, `[Aa]` for one of
        several, and at most `MAX_TEXTS` of them, then "..."."""
        if self.listed is not None:
            patterns = sorted(self.listed)
        else:
            patterns = sorted(map(_shown, self.templates), key=lambda text: (len(text), text))
        return (*patterns[:MAX_TEXTS], *(["..."] if len(patterns) > MAX_TEXTS else []))


def whole(rule: InputRule) -> InputSet:
    """Every text of an input."""
    choices = choices_of(rule)
    if choices is not None:
        return InputSet(rule, (), choices)
    return of_templates(rule, [any_of(length) for length in sorted(lengths_of(rule))])


def choices_of(rule: InputRule) -> frozenset[str] | None:
    """The texts of an input that has choices, else None."""
    if not rule.input.choices:
        return None
    return frozenset(t for t in map(composed, rule.input.choices) if not rule.faults(t, None))


def of_templates(rule: InputRule, templates: list[Template]) -> InputSet:
    """The texts of an input without choices that fit one of the templates."""
    return InputSet(rule, tuple(t for t in dict.fromkeys(templates) if is_possible(rule, t)))


def lengths_of(rule: InputRule) -> Lengths:
    """Lengths its texts can have."""
    choices = choices_of(rule)
    if choices is not None:
        return frozenset(map(len, choices))
    stated = range(rule.input.min_length or 0, rule.max_length + 1)
    if rule.automaton is None:
        return frozenset(stated)
    states, lengths = rule.automaton.begin(), set()
    for length in range(rule.max_length + 1):
        if rule.automaton.accepts(states):
            lengths.add(length)
        states = _after(rule.automaton, states, None)
    return frozenset(lengths & set(stated))


def has_points(rule: InputRule) -> bool:
    """Whether a text of the input may hold a point."""
    choices = choices_of(rule)
    if choices is not None:
        return any("." in text for text in choices)
    return rule.automaton is None or any("." in chars for chars in rule.automaton.moves)


def is_possible(rule: InputRule, template: Template) -> bool:
    """Whether the input has a text that fits a template."""
    if not (rule.input.min_length or 0) <= len(template) <= rule.max_length:
        return False
    if rule.automaton is None:
        return all(place is None or any(map(is_printable, place)) for place in template)
    states = rule.automaton.begin()
    for place in template:
        states = _after(rule.automaton, states, place)
    return rule.automaton.accepts(states)


def _after(automaton: Automaton, states: States, place: frozenset[str] | None) -> States:
    """The states after one more character out of ``place``; any character when that is None."""
    if place is None:
        return automaton.over(states, automaton.moves)
    chars = list(filter(is_printable, place))
    leading = (some for some in automaton.moves if any(char in some for char in chars))
    return automaton.over(states, leading)


def _spelled(rule: InputRule, template: Template) -> Iterator[str] | None:
    """Every text of an input that fits a template; None when unread characters are of no end."""
    read = frozenset[str]().union(*filter(None, template))
    words = input_words(rule, read)
    if None in template and not words.whole:
        return None
    return words.fitting(template)


def _shown(template: Template) -> str:
    return "".join(map(_shown_place, template))


def _shown_place(place: frozenset[str] | None) -> str:
    if place is None:
        return UNREAD
    return "".join(place) if len(place) == 1 else f"[{''.join(sorted(place))}]"
