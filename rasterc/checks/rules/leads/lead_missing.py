"""Do words say what a date is? (rule set eu-food)"""

from __future__ import annotations

import re
from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import NO_ADVICE, Finding, Rule, Subject
from rasterc.checks.printed.dates import Mark
from rasterc.checks.printed.durability import durable_marks, labelled_marks
from rasterc.profile.model import RuleSet

_BEST = 'clock packed in "Europe/Dublin"\nclock best = packed + 60 days\n'


_WORD = re.compile(r"[^\W\d_]{2}")


class LeadMissing(Rule):
    """A date that lies ahead, with no words before it."""

    id = "lead-missing"
    title = "A date ahead has no words before it"
    rule_set = RuleSet.EU_FOOD
    reads_words = True
    rationale = (
        "The date is introduced by `best before`, `best before end` or `use by`, in the language "
        "of the label: a bare date may be that of packing. Words on the line above, or in the "
        "block at its side, are looked for too. Where they stand elsewhere on the pack and name "
        f"the place of the date, silence the rule and say so. {NO_ADVICE}"
    )
    source = "Regulation (EU) No 1169/2011, Annex X, points 1(a), 1(b), 2(a) and 2(b)"
    trips = example(
        _BEST + 'block { line: best(dd MMM yyyy, upper) " L" packed(yyDDD) }',
        rules=RuleSet.EU_FOOD,
    )
    passes = example(
        _BEST + 'block { line: "BEST BEFORE " best(dd MMM yyyy, upper) " L" packed(yyDDD) }',
        rules=RuleSet.EU_FOOD,
    )

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such date in a message that has none with its words."""
        if labelled_marks(subject):
            return
        for mark, life in durable_marks(subject):
            if not mark.kinds and not _has_words(mark):
                yield self.finding(
                    subject,
                    f'"{mark.text}" lies {life.days} days ahead, and nothing says what it is',
                    mark.span,
                    'write "BEST BEFORE " or "USE BY " before it, in the language of the label',
                )


def _has_words(mark: Mark) -> bool:
    """Whether words that are no known lead may introduce it."""
    around = mark.around.surroundings
    near = [mark.since]
    if mark.since == mark.before:
        near += [text for text in (mark.above, around.level, *around.left)
                 if not any(char.isdigit() for char in text)]  # fmt: skip
    return any(_WORD.search(text) for text in near)
