"""`rasterc explain`: what a rule means, what a line profile holds, what JSON looks like."""

from __future__ import annotations

import json
import textwrap
from itertools import groupby
from typing import TYPE_CHECKING, Annotated

import typer

from rasterc.cli import complete
from rasterc.cli.common import JsonOption, reporting
from rasterc.cli.pager import say_long
from rasterc.cli.say import say
from rasterc.diagnostics import InputError

if TYPE_CHECKING:
    from rasterc.checks.model import Example, Finding, Rule
    from rasterc.cli.say import Teller

PROFILE, PLANT, JSON = "profile", "plant", "json"


def explain(
    topic: Annotated[
        str | None,
        typer.Argument(
            help='A rule; "profile" for the keys of a line profile, "plant" for those of a plant '
            'file; "json" for JSON Schemas; else an index of rules.',
            autocompletion=complete.topics,
        ),
    ] = None,
    command: Annotated[
        list[str] | None,
        typer.Argument(help="With json, whose documents are meant.", show_default=False),
    ] = None,
    page: Annotated[
        bool, typer.Option("--page", help="Print a reference of all rules as Markdown.")
    ] = False,
    as_json: JsonOption = False,
) -> None:
    """Explain a rule, keys of a profile or a plant file, or what --json prints.

    A rule's page says what it finds, why, its source, an example and its remedy.
    """
    with reporting(as_json) as teller:
        if topic == JSON:
            _explain_json("-".join(command or ()), teller)
        elif command:
            said = f"nothing more can be said of {topic} with {' '.join(command)}"
            raise InputError.one("bad-usage", said, help="explain one thing at a time")
        elif topic == PROFILE:
            _explain_profile(teller)
        elif topic == PLANT:
            _explain_plant(teller)
        else:
            _explain_rules(topic, page, teller)


def _explain_rules(name: str | None, page: bool, teller: Teller) -> None:
    from rasterc.checks.registry import find_rule

    rule = None if name is None else find_rule(name)
    if teller.as_json:
        from rasterc.cli.documents.explain import ExplainDocument

        rules = [rule] if rule else [one for _, group in _families() for one in group]
        teller.document(ExplainDocument, {"rules": [_document(one) for one in rules]})
    elif rule is not None:
        say_long((_markdown(rule) if page else _page(rule)).split("\n"))
    else:
        say_long((_reference() if page else _index()).split("\n"))


def _explain_profile(teller: Teller) -> None:
    if teller.as_json:
        from rasterc.cli.documents.explain import ProfileDocument
        from rasterc.profile.model import json_schema

        teller.document(ProfileDocument, {"profile": json_schema()})
    else:
        from rasterc.profile.reference import reference

        say_long(reference().split("\n"))


def _explain_plant(teller: Teller) -> None:
    if teller.as_json:
        from rasterc.cli.documents.explain import PlantDocument
        from rasterc.plant.file import json_schema

        teller.document(PlantDocument, {"plant": json_schema()})
    else:
        from rasterc.plant.reference import reference

        say_long(reference().split("\n"))


def _explain_json(name: str, teller: Teller) -> None:
    """The bare JSON Schema of one command's documents, or what there are schemas of."""
    from rasterc.cli.documents.explain import SchemasDocument
    from rasterc.cli.documents.schemas import SAID, schema_of

    if teller.as_json:
        names = [name] if name else list(SAID)
        teller.document(SchemasDocument, {"documents": {one: schema_of(one) for one in names}})
    elif name:
        say_long(json.dumps(schema_of(name), indent=2).split("\n"))
    else:
        width = max(map(len, SAID))
        say(*(f"{one:<{width}}  {said}" for one, said in SAID.items()), "")
        say("rasterc explain json NAME prints the JSON Schema.")


def _families() -> list[tuple[str, list[Rule]]]:
    """What each family asks, and its rules; what only chosen rule sets ask comes last."""
    from rasterc.checks.registry import all_rules

    rules = sorted(all_rules().values(), key=lambda r: (r.family == "laws", r.family, r.id))
    return [(question, list(group)) for question, group in groupby(rules, lambda r: r.question)]


def _index() -> str:
    from rasterc.values.dates.languages import cldr_release

    families = _families()
    width = max(len(rule.id) for _, rules in families for rule in rules)
    lines: list[str] = []
    for question, rules in families:
        lines += [_fill(question, 80)]
        for rule in rules:
            head = f"  {rule.id:<{width}}  {rule.severity:<7}  "
            chosen = "" if rule.rule_set == "general" else f" (rule set {rule.rule_set})"
            lines.append(_fill(head + rule.title + chosen, 80, " " * len(head)))
        lines.append("")
    lines += [
        "rasterc explain RULE says more; rasterc explain profile lists the keys of a line",
        "profile, rasterc explain plant those of a plant file.",
        f"Names of months and days are those of the Unicode CLDR, release {cldr_release()}.",
    ]
    return "\n".join(lines)


def _fill(text: str, width: int, indent: str = "") -> str:
    """Text in lines; a pattern such as yyyy-MM-dd or a long key is never broken."""
    return textwrap.fill(
        text, width, subsequent_indent=indent, break_long_words=False, break_on_hyphens=False
    )


def _page(rule: Rule) -> str:
    return "\n".join(
        [
            f"{rule.id} ({rule.severity}): {rule.title}",
            "",
            _fill(rule.rationale, 78),
            "",
            _fill(f"Source: {rule.source}", 78),
            _fill(f"Applies: {_applies(rule)}", 78),
            "",
            "This trips it:",
            textwrap.indent(_shown(rule.trips), "    "),
            "",
            *_found(rule),
            "",
            "This passes:",
            textwrap.indent(_shown(rule.passes, beside=rule.trips), "    "),
        ]
    )


def _applies(rule: Rule) -> str:
    if rule.rule_set == "general":
        applies = "always"
    else:
        applies = f'when the line profile has rules = ["general", "{rule.rule_set}"]'
    return applies + ("." if rule.can_be_silenced else "; it cannot be silenced.")


def _reference() -> str:
    parts = ["# Rules", "", "Made by `rasterc explain --page` from the rules themselves.", ""]
    for question, rules in _families():
        parts += [f"## {question}", ""]
        parts += [part for rule in rules for part in (_markdown(rule), "")]
    return "\n".join(parts).rstrip()


def _markdown(rule: Rule) -> str:
    fence = "```"
    return "\n".join(
        [
            f"### {rule.id}",
            "",
            f"**{rule.title}** ({rule.severity})",
            "",
            _fill(rule.rationale, 100),
            "",
            _fill(f"Source: {rule.source}", 100),
            "",
            _fill(f"Applies: {_applies(rule)}", 100),
            "",
            "This trips it:",
            "",
            f"{fence}rasterc",
            _shown(rule.trips),
            fence,
            f"{fence}text",
            *_found(rule),
            fence,
            "",
            "This passes:",
            "",
            f"{fence}rasterc",
            _shown(rule.passes, beside=rule.trips),
            fence,
        ]
    )


def _shown(example: Example, beside: Example | None = None) -> str:
    """The message of an example, and its profile where that is what makes the difference."""
    from rasterc.checks.model import EXAMPLE_PROFILE

    base = beside.profile if beside else EXAMPLE_PROFILE
    text = _formatted(example)
    changed = [
        line for line in example.profile.splitlines() if line and line not in base.splitlines()
    ]
    if changed:
        text += "\n# with, in the line profile:\n"
        text += "\n".join(f"#   {line}" for line in changed)
    return text


def _formatted(example: Example) -> str:
    from rasterc.source.formatting.format import format_text

    return format_text(example.message).strip()


def _found(rule: Rule) -> list[str]:
    """What the rule says about its example, by running it."""
    return [
        _fill(f"{finding.severity}: {finding.message}", 78, "  ")
        + "\n"
        + _fill(f"  remedy: {finding.remedy}", 78, "    ")
        for finding in _run(rule, rule.trips)
    ]


def _run(rule: Rule, example: Example) -> list[Finding]:
    from rasterc.api import load_text
    from rasterc.profile.load import parse_profile

    code = load_text(example.message, name="example.rasterc")
    printed = code.resolve(example.at, inputs=example.inputs)
    return list(rule.check(printed.subject(parse_profile(example.profile))))


def _document(rule: Rule) -> dict[str, object]:
    return {
        "rule": rule.id,
        "title": rule.title,
        "family": rule.family,
        "rules": str(rule.rule_set),
        "severity": str(rule.severity),
        "can_be_silenced": rule.can_be_silenced,
        "rationale": rule.rationale,
        "source": rule.source,
        "trips": rule.trips.message.strip(),
        "passes": rule.passes.message.strip(),
    }
