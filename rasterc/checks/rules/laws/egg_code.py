"""Is the producer's code of an egg of its form? (rule set egg)"""

from __future__ import annotations

import re
from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import NO_ADVICE, Finding, Rule, Subject
from rasterc.checks.printed.tokens import PrintedLine, printed_lines
from rasterc.profile.model import RuleSet
from rasterc.values.fields.kinds import InputText

_STATES = (
    *("AT", "BE", "BG", "CY", "CZ", "DE", "DK", "EE", "EL", "ES", "FI", "FR", "GR", "HR", "HU"),
    *("IE", "IT", "LT", "LU", "LV", "MT", "NL", "PL", "PT", "RO", "SE", "SI", "SK", "UK", "XI"),
)


_CODE = re.compile(rf"[0-3][- ]?(?:{'|'.join(_STATES)})[- ]?[A-Z0-9][A-Z0-9 -]{{1,14}}")


_NEARLY = re.compile(r"(?<![\w-])\d[- ]?(?:[A-Z]{2}[- ]?)?[A-Z0-9]{4,14}(?![\w-])")


class EggCode(Rule):
    """Method of farming, country and farm."""

    id = "egg-code"
    title = "The producer's code of an egg is not of its form"
    rule_set = RuleSet.EGG
    rationale = (
        "The code begins with the method of farming, 0 organic, 1 free range, 2 barn, 3 cage, and "
        "goes on with the country and the farm: 1-DE-1234501. Another figure stands for nothing, "
        f"and an input may let it pass. {NO_ADVICE}"
    )
    source = (
        "Delegated Regulation (EU) 2023/2465 and Directive 2002/4/EC, Annex, point 2, as stated by "
        "a secondary text; Article and point from memory"
    )
    trips = example('block { line: "4-DE-1234501" }', rules=RuleSet.EGG)
    passes = example('block { line: "3-DE-1234501" }', rules=RuleSet.EGG)

    def of_print(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding when no line is such a code, or an input lets another class pass."""
        lines = [line for line in printed_lines(subject) if line.text.strip()]
        codes = [line for line in lines if _CODE.search(line.text.upper())]
        if not codes:
            near = next((line for line in lines if _NEARLY.search(line.text.upper())), None)
            shown = near or (lines[0] if lines else None)
            said = f'"{shown.text.strip()}" is no such code' if shown else "no code is printed"
            yield self.finding(
                subject, said, shown.line.span if shown else subject.message.span,
                'print class, country and farm: "1-DE-1234501"',
            )  # fmt: skip
        for line in codes:
            wrong = next((c for c in "456789" if _lets(line, c)), None)
            if wrong:
                yield self.finding(
                    subject,
                    f"an input lets {wrong} be typed as the method of farming",
                    line.line.span,
                    'take [0-3]: input class matching "[0-3]"',
                )


def _lets(line: PrintedLine, digit: str) -> bool:
    """Whether the input that a line begins with may begin with a digit."""
    first = next((token for token in line.tokens if token.text), None)
    source = first.field.source if first and first.field else None
    if first is None or not isinstance(source, InputText):
        return False
    text = digit + first.text[1:]
    return not source.rule.faults(text, None)
