"""What `rasterc font audit` finds: characters a message needs and the font lacks, close pairs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from rasterc.diagnostics import Diagnostic, InputError, Span
from rasterc.fonts.library import FontBook
from rasterc.fonts.model import Font
from rasterc.output.fonts.document import font_summary, pair_document
from rasterc.output.fonts.specimen import code_point, printable
from rasterc.values.model import Instant

if TYPE_CHECKING:
    from rasterc.fonts.audit import Pair
    from rasterc.values.given.automaton import Automaton
    from rasterc.values.given.inputs import InputRule
    from rasterc.values.given.regex import CharSet
    from rasterc.values.plan import Plan

_SAMPLES = 512
_FIRST = datetime(2024, 1, 1, tzinfo=UTC)
# 512 of these steps make 12 years and 8 months: every month, weekday, hour and digit comes up.
_STEP = timedelta(days=9, hours=1, minutes=7)
_COUNTER_STEP = 7919  # a prime, so that counters of any length are met all over


@dataclass(frozen=True, slots=True)
class Needs:
    """What a message needs of a font.

    Attributes:
        missing: characters the font does not have.
        lacking: the same as reports, one for each place of the message that prints some.
        open_inputs: inputs whose text can be anything, so that nothing can be said about it.
    """

    missing: tuple[str, ...] = ()
    lacking: tuple[Diagnostic, ...] = ()
    open_inputs: tuple[str, ...] = ()


def needs_of(font: Font, name: str, file: Path, message: str | None, book: FontBook) -> Needs:
    """What a message file needs of a font; ``name`` is what the user calls the font.

    Raises:
        InputError: with every fault of the message.
    """
    from rasterc.loading import load_plan

    plan = load_plan(file, message)
    needed = printed_characters(plan, name)
    missing = font.missing(needed)
    help = _fonts_with(needed, book) if missing else ""
    places = {span: "".join(c for c in missing if needed[c] == span) for span in needed.values()}
    lacking = [
        Diagnostic("missing-character", _lacks(font, chars), span, help)
        for span, chars in places.items()
        if chars
    ]
    inputs = [name for name, rule in plan.inputs.items() if _input_text(rule, 0) is None]
    return Needs(missing, tuple(lacking), tuple(inputs))


def _lacks(font: Font, chars: str) -> str:
    listed = ", ".join(f"{printable(char)} {code_point(char)}".strip() for char in chars)
    return f'the font "{font.name}" has no {listed}'


def _fonts_with(chars: Iterable[str], book: FontBook) -> str:
    """Which fonts have all the characters."""
    wanted = list(chars)
    able = []
    for name in book.names():
        try:
            if not book.find(name).missing(wanted):
                able.append(name)
        except InputError:
            continue  # another font of the folder is at fault; this report is not about it
    return f"these fonts have all the message prints: {', '.join(able)}" if able else ""


def printed_characters(plan: Plan, font: str) -> dict[str, Span]:
    """Characters the message prints in a font, each with the first place that prints it.

    These are the characters of the message's lines in that font, of all lines when none is. Found
    by sampling: every literal, month, weekday and digit, but not every row of a long table.
    Inputs are covered as far as choices, pattern or default tell what they can be.
    """
    from rasterc.values.fields.kinds import runs
    from rasterc.values.moment import Moment, Places

    lines = [
        line for block in plan.blocks if isinstance(block.content, tuple) for line in block.content
    ]
    chosen = [line for line in lines if line.line.font == font] or lines
    pieces = [piece for line in chosen for piece in line.pieces]
    found: dict[str, Span] = {}
    for instant in _instants(plan):
        moment = Moment(plan, instant, Places(), limited=False)
        for piece in pieces:
            try:
                printed = runs((piece,), moment)
            except InputError:
                continue  # a field without a value at this instant prints nothing
            for run in printed:
                found |= {char: run.span for char in run.text if char not in found}
    return found


def _instants(plan: Plan) -> Iterator[Instant]:
    for index in range(_SAMPLES):
        counters = {
            name: counter.values[index * _COUNTER_STEP % len(counter.values)]
            for name, counter in plan.message.counters.items()
        }
        texts = {name: _input_text(rule, index) for name, rule in plan.inputs.items()}
        inputs = {name: text for name, text in texts.items() if text is not None}
        yield Instant(_FIRST + index * _STEP, counters, inputs)


def _input_text(rule: InputRule, index: int) -> str | None:
    """A text the input can have, another one for each index; None when nothing tells."""
    if rule.input.choices:
        return rule.input.choices[index % len(rule.input.choices)]
    if rule.date is not None:
        return rule.date.text(_FIRST.date() + index * _STEP)
    if rule.automaton is not None:
        return _matching_text(rule.automaton, index)
    return rule.input.default


def _matching_text(automaton: Automaton, index: int) -> str | None:
    """A text that matches a pattern; None when none of up to 100 characters was found."""
    states, text = automaton.begin(), ""
    for place in range(100):
        if automaton.accepts(states) and index % 2:  # even indices go on as long as they can
            return text
        chars = [char for chosen in automaton.sets_from(states) for char in _members(chosen)]
        if not chars:
            break
        char = chars[(index // 2 + place * 5) % len(chars)]
        states, text = automaton.step(states, char), text + char
    return text if automaton.accepts(states) else None


def _members(chars: CharSet) -> Sequence[str]:
    """The characters of a set; of an open set the ASCII ones, as it is not known which come."""
    if chars.negated:
        return [char for char in map(chr, range(0x20, 0x7F)) if char in chars]
    return [
        chr(code)
        for first, last in chars.ranges
        for code in range(ord(first), min(ord(last), ord(first) + 255) + 1)
    ]


def audit_document(font: Font, needs: Needs, closest: Sequence[Pair]) -> dict[str, object]:
    """The audit as plain JSON values."""
    return {
        "font": font_summary(font),
        "missing": list(needs.missing),
        "findings": [diagnostic.as_dict() for diagnostic in needs.lacking],
        "open_inputs": list(needs.open_inputs),
        "closest": [pair_document(pair) for pair in closest],
    }


def audit_lines(needs: Needs, closest: Sequence[Pair], file: Path | None) -> Iterator[str]:
    """The audit for a person to read."""
    for diagnostic in needs.lacking:
        yield from diagnostic.lines()
    for name in needs.open_inputs:
        yield f"input {name} can be any text: its characters were not looked at"
    if file is not None and not needs.lacking:
        yield f"every character found in {file} is there"
    if closest:
        yield from ("", "closest pairs, by drops that differ:")
    for pair in closest:
        yield f"  {pair.first} {pair.second}  {pair.differing:3d} of {pair.drops:3d} drops"
