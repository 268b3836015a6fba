"""Holding texts against lines before they are traced never leaves out one that could print them."""

from __future__ import annotations

import re
from itertools import permutations
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from rasterc.domain.reach import Reach
from rasterc.domain.templates import template_of
from rasterc.search.fitting import MOST_ASSIGNMENTS, Reading, assignments
from rasterc.search.patterns import LinePart, Listed, Loose, patterns_of
from rasterc.source.load import parse_messages
from rasterc.tracing.trace import trace_between
from rasterc.values import Plan, prepare
from rasterc.values.dates import patterns as dates
from rasterc.values.dates.offsets import minute_of

RANDOM = settings(
    deadline=None,
    suppress_health_check=list(HealthCheck),
    phases=(Phase.explicit, Phase.reuse, Phase.generate),
)


def fits(plan: Plan, texts: tuple[str, ...], parts: bool) -> bool:
    """Whether each text can be its line."""
    every: dict[LinePart, int] = {}
    lines = [
        [[every.setdefault(part, len(every)) for part in one] for one in line]
        for line in patterns_of(plan)
    ]
    return all(
        any(
            map(Reading(None if text == "*" else template_of(text), tuple(every), parts).fits, line)
        )
        for text, line in zip(texts, lines, strict=True)
    )


@st.composite
def read_of(draw, line: str, parts: bool) -> str:
    """A line, or a part of it, with characters unread."""
    begin, end = 0, len(line)
    if parts and line:
        begin = draw(st.integers(0, len(line) - 1))
        end = draw(st.integers(begin + 1, len(line)))
    unread = draw(st.sets(st.integers(begin, max(begin, end - 1)), max_size=3))
    return "".join("?" if at in unread else line[at] for at in range(begin, end))


@RANDOM
@given(st.data())
def test_no_message_is_left_out_that_printed_the_text(brute, data):
    text = brute.message_text(data.draw(brute.declarations()), data.draw(brute.lines()))
    plan = brute.plan_of(text)
    first = minute_of(brute.STARTS[0].replace(tzinfo=plan.clocks["packed"].zone))
    at = data.draw(st.integers(first, first + 30 * 365 * 24 * 60))
    printed = brute.resolved(plan, at, *data.draw(st.sampled_from(brute.possibilities(plan))))
    if printed is None:
        return
    for parts in (False, True):
        read = tuple(data.draw(read_of(line, parts)) for line in printed)
        assert fits(plan, read, parts), read


@settings(RANDOM, max_examples=40)
@given(st.data())
def test_no_message_is_left_out_that_traces_to_the_text(brute, data):
    """Also for texts that may be printed by none: of other messages, or of no date."""
    declared = data.draw(brute.declarations())
    fields = data.draw(brute.lines())
    plan = brute.plan_of(brute.message_text(declared, fields))
    other = brute.plan_of(brute.message_text(declared, data.draw(brute.lines())))
    first = minute_of(brute.STARTS[0].replace(tzinfo=plan.clocks["packed"].zone))
    printed = brute.resolved(other, first, *brute.possibilities(other)[0])
    if printed is None or len(printed) != len(fields):
        return
    parts = data.draw(st.booleans())
    read = tuple(data.draw(read_of(line, parts)) for line in printed)
    result = trace_between(plan, read, first, first + 2000, parts=parts, explain=False)
    assert fits(plan, read, parts) or not result.groups


@pytest.mark.parametrize("language", ["en", "el"])
@pytest.mark.parametrize("letter", sorted(dates.LETTERS))
def test_letters_print_all_that_they_print_in_28_years(brute, letter: str, language: str):
    """Against laying out the time, for a clock that is derived from the one read."""
    for count in dates.LETTERS[letter].counts:
        plan = brute.plan_of(
            f"message m {{ raster 7 font upright-7 language {language}\n"
            'clock a in "Europe/Dublin", day from 06:00\nclock b = a + 7 months to friday\n'
            f"block {{ line: b({letter * count}) }} }}"
        )
        [part] = plan.fields[0].source.pattern.parts
        [[line]] = patterns_of(plan)
        for text in Reach(plan).texts("b", part):
            assert Reading(template_of(text), line, is_part=False).fits(range(len(line))), text


REFERENCE = Path(__file__).parents[2] / "grammar"
EXAMPLES = re.findall(
    r"```rasterc\n(.*?)```\n```text\n[^\n]*\n(.*?)```",
    (REFERENCE / "README.md").read_text(encoding="utf-8"),
    re.DOTALL,
)


@pytest.mark.parametrize(("text", "printed"), EXAMPLES)
def test_every_example_of_the_reference_fits_what_it_prints(text: str, printed: str):
    messages, faults = parse_messages(text, "reference", folder=REFERENCE)
    assert not faults
    [message] = messages.values()
    plan, _ = prepare(message)
    lines = tuple(printed.removesuffix("\n").split("\n"))
    assert fits(plan, lines, parts=False)
    assert fits(plan, tuple(line[1:-1] or line for line in lines), parts=True)


BOX = Listed(("", "A", "BOX", "BOA"))
TAIL = Loose("XY", 1, 2)


@pytest.mark.parametrize(
    ("text", "whole", "part"),
    [
        ("X", True, True),
        ("AXY", True, True),
        ("BOXX", True, True),
        ("B??X", True, True),
        ("OX", False, True),
        ("OAY", False, True),
        ("O?Y", False, True),
        ("?", True, True),
        ("BOB", False, False),
        ("AXYX", False, False),
        ("Z", False, False),
    ],
)
def test_some_lines(text: str, whole: bool, part: bool):
    """A line of one of four texts and one or two of X and Y."""
    for is_part, expected in ((False, whole), (True, part)):
        assert Reading(template_of(text), (BOX, TAIL), is_part).fits((0, 1)) is expected


@given(
    st.lists(
        st.one_of(
            st.lists(st.text("AB", max_size=3), max_size=3).map(lambda t: Listed(tuple(t))),
            st.builds(
                lambda chars, least, more: Loose(chars, least, least + more),
                st.sampled_from([None, "A", "AB"]), st.integers(0, 2), st.integers(0, 2),
            ),
        ),
        max_size=4,
    ),
    st.text("AB?", min_size=1, max_size=5),
)  # fmt: skip
def test_against_regular_expressions(line, text):
    """A text in which nothing is unread fits just when an expression of the parts matches; one
    with unread characters when one of the texts it may stand for does."""
    spelled = "".join(map(expression, line))
    every = [text]
    while any("?" in one for one in every):
        every = [one.replace("?", char, 1) for one in every for char in "ABC"]
    numbers = range(len(line))
    whole = any(re.fullmatch(spelled, one) for one in every)
    assert Reading(template_of(text), line, is_part=False).fits(numbers) is whole
    longer = [a + one + b for one in every for a in AROUND for b in AROUND]
    within = any(re.fullmatch(spelled, one) for one in longer)
    assert Reading(template_of(text), line, is_part=True).fits(numbers) or not within


AROUND = ["", "A", "B", "AA", "AB", "BA", "BB"]


def expression(part: LinePart) -> str:
    if isinstance(part, Listed):
        return f"(?:{'|'.join(part.texts)})" if part.texts else r"(?!)"
    return f"[{'ABC' if part.chars is None else part.chars}]{{{part.shortest},{part.longest}}}"


def test_texts_of_a_block_stand_from_top_to_bottom():
    """Against trying every order; the blocks stand side by side, so that any may be read first."""
    blocks = (0, 0, 1, 1)
    fit = [[True, True, True, True]] * 3
    expected = {
        lines
        for lines in permutations(range(4), 3)
        if all(
            a < b
            for n, a in enumerate(lines)
            for b in lines[n + 1 :]
            if blocks[a] == blocks[b]
        )
    }  # fmt: skip
    assert set(assignments(fit, blocks) or ()) == expected


def test_too_many_ways_are_not_told_as_none():
    count = 12
    assert assignments([[True] * count] * 6, tuple(range(count))) is None
    assert MOST_ASSIGNMENTS < 12 * 11 * 10 * 9
