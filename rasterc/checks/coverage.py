"""What a verdict covers: each rule and limit proved over every value, or looked at in prints."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from rasterc.checks.covered import Coverage as Coverage
from rasterc.checks.covered import Covered as Covered
from rasterc.checks.covered import How as How
from rasterc.checks.measures import MEASURES
from rasterc.checks.model import Rule, Subject
from rasterc.checks.registry import active_rules
from rasterc.domain.count import Count

REQUIRE = "require"
"""The rule whose coverage is told for each limit."""


def coverage(
    subject: Subject, known: Collection[str], prints: int, strings: Count | None = None
) -> Coverage:
    """What the verdicts of the chosen rules cover.

    Args:
        subject: the message.
        known: what is known of all its values: the names of exact extremes, `FAULTS`, `LIVES`.
        prints: how many prints were looked at.
        strings: how many distinct strings these values print.
    """
    rules = tuple(
        covered
        for rule in active_rules(subject.profile).values()
        for covered in _of_rule(rule, subject, frozenset(known))
    )
    return Coverage(rules, prints, strings)


def _of_rule(rule: Rule, subject: Subject, known: frozenset[str]) -> Iterator[Covered]:
    if rule.id == REQUIRE:
        yield from _of_limits(subject, known)
        return
    if rule.needs_profile and subject.profile is None:
        yield Covered(rule.id, How.NOT_CHECKED)
        return
    proved = subject.all_cases and _is_proved(rule, subject, known)
    yield Covered(rule.id, How.PROVED if proved else How.LOOKED_AT)


def _is_proved(rule: Rule, subject: Subject, known: frozenset[str]) -> bool:
    """Whether all is known that its verdict needs, with every kind of row.

    A rule that reads the message has then looked at each row; extremes are those of all rows.
    """
    proofs = [rule.proof(one) for one in (subject, *subject.others)]
    if not all(wanted is not None and known.issuperset(wanted) for wanted in proofs):
        return False
    if rule.reads_words and not subject.all_words:
        return False
    return subject.all_rows or all(proofs)


def _of_limits(subject: Subject, known: frozenset[str]) -> Iterator[Covered]:
    for require in subject.message.requires:
        measure = MEASURES.get(require.measure.text)
        value = measure.value(subject) if measure else None
        how = How.PROVED if measure and known.issuperset(measure.extremes) else How.LOOKED_AT
        text = " ".join(require.span.text.split()[1:])
        yield Covered(REQUIRE, How.NOT_CHECKED if value is None else how, text)
