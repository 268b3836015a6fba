"""Every example of the language's reference prints what stands beside it."""

from __future__ import annotations

import re

import pytest

from rasterc.checks.measures import MEASURES
from rasterc.resources import resource_dir
from rasterc.source import parse_messages
from rasterc.source.declarations import Restart
from rasterc.source.formatting.format import format_text
from rasterc.source.tree.keywords import KEYWORDS
from rasterc.values import evaluate_expect, prepare
from rasterc.values.dates.patterns import LETTERS
from rasterc.values.given.check_characters import ALGORITHMS

REFERENCE = (resource_dir("grammar") / "README.md").read_text(encoding="utf-8")
EXAMPLES = re.findall(r"```rasterc\n(.*?)```\n```text\n(.*?)\n(.*?)```", REFERENCE, re.DOTALL)


def named(example):
    return re.search(r"message ([\w-]+)", example[0])[1]


@pytest.mark.parametrize("example", EXAMPLES, ids=named)
def test_examples_print_what_is_written(example):
    text, conditions, printed = example
    expect = "expect" if conditions == "always" else f"expect {conditions}"
    body = text.rstrip().removesuffix("}")
    messages, found = parse_messages(
        f"{body}\n{expect} {{ }}\n}}", "reference", resource_dir("grammar")
    )
    assert [fault.render() for fault in found] == []
    (message,) = messages.values()
    plan, faults = prepare(message)
    assert [fault.render() for fault in faults] == []
    assert list(evaluate_expect(plan, message.expects[-1]).lines) == printed.splitlines()
    for own in message.expects[:-1]:
        resolved = evaluate_expect(plan, own)
        assert [line.text for line in own.lines] == list(resolved.lines)


@pytest.mark.parametrize("example", EXAMPLES, ids=named)
def test_examples_are_in_canonical_form(example):
    assert format_text(example[0]) == example[0]


def test_every_example_is_run():
    assert len(EXAMPLES) == REFERENCE.count("```rasterc") == REFERENCE.count("```text") > 15


def test_the_reference_names_every_keyword_algorithm_and_restart():
    for name in (*KEYWORDS, *ALGORITHMS, *(restart.word for restart in Restart)):
        assert re.search(rf"`(restart )?{re.escape(name)}\b", REFERENCE), name


def test_the_reference_names_every_measure_with_its_units():
    table = REFERENCE[REFERENCE.index("| measure | unit |") :].partition("\n\n")[0]
    rows = [row.strip("|").split("|") for row in table.splitlines()[2:]]
    told = {name: units.strip() for names, units in rows for name in re.findall(r"`(\w+)`", names)}
    units = {name: ", ".join(one.units) or "none" for name, one in MEASURES.items()}
    assert told == units


def test_the_reference_has_a_row_for_every_date_letter():
    table = REFERENCE[REFERENCE.index("| letter | prints |") :].partition("\n\n")[0]
    first_cells = "".join(row.split("|")[1] for row in table.splitlines()[2:])
    forms = set(re.findall(r"`([A-Za-z]+)`", first_cells))
    assert {form[0] for form in forms} == set(LETTERS)
