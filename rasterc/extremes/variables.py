"""What each counter and input of a message can be, as far as it can be searched."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from msgspec import structs

from rasterc.domain.atoms import Kind, Variable, Varying, Whole, reads_of
from rasterc.domain.counterwords import CounterWords
from rasterc.domain.inputwords import input_words, stands_alone
from rasterc.domain.typed import days_within, words_of
from rasterc.domain.words import Words
from rasterc.source.declarations import Counter
from rasterc.values import Plan
from rasterc.values.fields.kinds import CounterText, FieldPlan, JoinedText, fields_read
from rasterc.values.fields.options import Pad
from rasterc.values.given.counters import text_of
from rasterc.values.model import Run

MAX_LENGTH = 200  # characters of a text that is searched character by character
MAX_STEP = 2000  # of a counter: a larger one makes too many remainders


@dataclass(frozen=True, slots=True)
class Domain:
    """The texts of a counter or input.

    Attributes:
        words: the texts; a superset of them when ``why_not`` says why they cannot be searched.
        why_not: empty when they can.
        note: what was left out.
    """

    words: Words
    why_not: str = ""
    note: str = ""


def domains_of(
    plan: Plan,
    atoms: Sequence[Varying],
    chars_of: Callable[[int], Iterable[str]],
    minutes: tuple[int, int],
) -> Mapping[Variable, Domain]:
    """The domain of every counter and input that the atoms read.

    ``chars_of`` gives the characters that a line can print. Of a date they are all days that it may
    be at one of the ``minutes``.
    """
    domains: dict[Variable, Domain] = {}
    days = {name: days_within(plan, name, minutes) for name in plan.dates}
    for variable in sorted({v for atom in atoms for v in reads_of(atom)}):
        mine = [atom for atom in atoms if isinstance(atom, Whole) and variable in atom.reads]
        if variable.kind is Kind.COUNTER:
            fields = [field for atom in mine for field in fields_read([atom.field])]
            domains[variable] = _of_counter(plan.message.counters[variable.name], fields)
        elif variable.name in plan.dates:
            domains[variable] = Domain(words_of(plan.dates[variable.name], days[variable.name]))
        elif variable.kind is Kind.INPUT:
            chars = set(filter(stands_alone, (c for atom in mine for c in chars_of(atom.line))))
            domains[variable] = _of_input(plan, variable.name, chars)
    return domains


def _of_counter(counter: Counter, fields: Sequence[FieldPlan]) -> Domain:
    longest = max(len(text_of(counter, value)) for value in (counter.values[0], counter.values[-1]))
    zeros = all(
        field.source.fill == counter.digits[0] and field.source.width >= longest
        for field in fields
        if isinstance(field.source, CounterText) and field.source.counter is counter
    )
    if counter.step <= MAX_STEP:
        return Domain(CounterWords(counter, zeros))
    why = f"counter {counter.name} goes in steps of more than {MAX_STEP}"
    return Domain(CounterWords(structs.replace(counter, step=1), zeros), why)


def _of_input(plan: Plan, name: str, chars: set[str]) -> Domain:
    rule = plan.inputs[name]
    words = input_words(rule, chars)
    note = ""
    if not words.whole:
        note = f"of input {name}, texts with characters that its fonts lack were not looked at"
    if max(words.lengths(), default=0) <= MAX_LENGTH:
        return Domain(words, note=note)
    why = f"input {name} may have more than {MAX_LENGTH} characters"
    return Domain(words, why, note=note)


def shows_whole(counter: Counter, field: FieldPlan) -> bool:
    """Whether a field prints every value of a counter differently."""
    if not all(isinstance(option, Pad) for option in field.options):
        return False
    source = field.source
    if isinstance(source, JoinedText):
        pieces = (piece for piece in source.pieces if not isinstance(piece, Run))
        return any(shows_whole(counter, piece) for piece in pieces)
    return isinstance(source, CounterText) and source.counter is counter
