"""All rules there are: every `Rule` in the modules of `rasterc.checks.rules`."""

from __future__ import annotations

import importlib
import pkgutil
from functools import cache

from rasterc.checks import rules
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.diagnostics import InputError, Severity, did_you_mean

_ORDER = list(Severity)


@cache
def all_rules() -> dict[str, Rule]:
    """Every rule by id, in alphabetical order."""
    found: list[Rule] = []
    for module_info in pkgutil.iter_modules(rules.__path__):
        module = importlib.import_module(f"{rules.__name__}.{module_info.name}")
        found += [
            value()
            for value in vars(module).values()
            if isinstance(value, type)
            and issubclass(value, Rule)
            and value.__module__ == module.__name__
        ]
    return {rule.id: rule for rule in sorted(found, key=lambda rule: rule.id)}


def find_rule(name: str) -> Rule:
    """The rule of that id; raises `InputError` naming the nearest one."""
    if rule := all_rules().get(name):
        return rule
    raise InputError.one("unknown-rule", f'no rule "{name}"', help=did_you_mean(name, all_rules()))


def check(subject: Subject) -> tuple[Finding, ...]:
    """What all rules find, errors first, then in the order of the source."""
    findings = [finding for rule in all_rules().values() for finding in rule.check(subject)]
    return tuple(
        sorted(
            findings,
            key=lambda f: (_ORDER.index(f.severity), f.span.start if f.span else -1, f.rule),
        )
    )
