"""`rasterc explain`: what a rule means, and what a line profile holds."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Annotated

import typer

from rasterc.cli.common import JsonOption, print_json, reporting

if TYPE_CHECKING:
    from rasterc.checks.model import Example, Finding, Rule

PROFILE = "profile"


def explain(
    topic: Annotated[
        str | None,
        typer.Argument(help='A rule, or "profile" for the keys of a line profile; else an index.'),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Explain a rule: what it finds, why, its source, an example and its remedy."""
    from rasterc.checks.registry import all_rules, find_rule

    with reporting(as_json):
        if topic is None:
            rules = list(all_rules().values())
            print_json([_document(rule) for rule in rules]) if as_json else print(_index(rules))
        elif topic == PROFILE:
            from rasterc.profile.model import json_schema
            from rasterc.profile.reference import reference

            print_json(json_schema()) if as_json else print(reference())
        else:
            rule = find_rule(topic)
            print_json(_document(rule)) if as_json else print(_page(rule))


def _index(rules: list[Rule]) -> str:
    width = max(len(rule.id) for rule in rules)
    lines = [f"{rule.id:<{width}}  {rule.severity:<7}  {rule.title}" for rule in rules]
    return "\n".join(
        [*lines, "", "rasterc explain RULE says more; rasterc explain profile lists profile keys."]
    )


def _page(rule: Rule) -> str:
    wrapped = textwrap.fill(rule.rationale, 78)
    return "\n".join(
        [
            f"{rule.id} ({rule.severity}): {rule.title}",
            "",
            wrapped,
            "",
            textwrap.fill(f"Source: {rule.source}", 78),
            "",
            "This trips it:",
            _shown(rule.trips),
            "",
            *_found(rule),
            "",
            "This passes:",
            _shown(rule.passes, beside=rule.trips),
        ]
    )


def _shown(example: Example, beside: Example | None = None) -> str:
    """The message of an example, and its profile where that is what makes the difference."""
    from rasterc.checks.model import EXAMPLE_PROFILE

    base = beside.profile if beside else EXAMPLE_PROFILE
    text = example.message.strip()
    changed = [
        line for line in example.profile.splitlines() if line and line not in base.splitlines()
    ]
    if changed:
        text += "\n# with, in the line profile:\n" + "\n".join(changed)
    return textwrap.indent(text, "    ")


def _found(rule: Rule) -> list[str]:
    """What the rule says about its example, by running it."""
    return [
        textwrap.fill(f"{finding.severity}: {finding.message}", 78, subsequent_indent="  ")
        + "\n"
        + textwrap.fill(f"  remedy: {finding.remedy}", 78, subsequent_indent="    ")
        for finding in _run(rule, rule.trips)
    ]


def _run(rule: Rule, example: Example) -> list[Finding]:
    from rasterc.api import load_text
    from rasterc.profile.load import parse_profile

    code = load_text(example.message, name="example.rasterc")
    return list(rule.check(code.resolve(example.at).subject(parse_profile(example.profile))))


def _document(rule: Rule) -> dict[str, object]:
    return {
        "rule": rule.id,
        "title": rule.title,
        "severity": str(rule.severity),
        "rationale": rule.rationale,
        "source": rule.source,
        "trips": rule.trips.message.strip(),
        "passes": rule.passes.message.strip(),
    }
