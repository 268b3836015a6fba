"""What a verdict covers: each rule and limit proved over every value, or looked at in prints."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from enum import StrEnum

from rasterc.checks.measures import MEASURES
from rasterc.checks.model import Rule, Subject
from rasterc.checks.registry import active_rules
from rasterc.domain.words import Count

REQUIRE = "require"
"""The rule whose coverage is told for each limit."""


class How(StrEnum):
    """How far a verdict reaches."""

    PROVED = "proved"
    LOOKED_AT = "looked-at"
    NOT_CHECKED = "not-checked"


@dataclass(frozen=True, slots=True)
class Covered:
    """A rule, or with ``limit`` one `require`, and how far its verdict reaches."""

    rule: str
    how: How
    limit: str = ""


@dataclass(frozen=True, slots=True)
class Coverage:
    """What the verdicts on a message cover.

    Attributes:
        rules: every rule that was asked, and every limit.
        prints: how many prints were looked at; 1 for a check of one instant.
        strings: how many distinct strings were covered; None at one instant, and where it is not
            known.
    """

    rules: tuple[Covered, ...]
    prints: int
    strings: Count | None = None

    def number(self, how: How) -> int:
        """How many rules and limits are covered so."""
        return sum(one.how is how for one in self.rules)

    @property
    def said(self) -> str:
        """In a line."""
        parts = [self._proved(), self._looked_at()]
        if unasked := self.number(How.NOT_CHECKED):
            parts.append(f"{unasked} need a line profile")
        return ", ".join(filter(None, parts))

    def _proved(self) -> str:
        number = self.number(How.PROVED)
        if self.prints == 1 and self.strings is None:
            return f"this instant only: {number} rules read the message"
        over = f" over {self.strings.said} strings" if self.strings else ""
        return f"{number} rules proved{over}"

    def _looked_at(self) -> str:
        number = self.number(How.LOOKED_AT)
        if not number:
            return ""
        if self.prints == 1 and self.strings is None:
            return f"{number} looked at one print; --all holds them at every value"
        return f"{number} looked at in {self.prints:,} prints"


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
    wanted = rule.proof(subject)
    proved = wanted is not None and known.issuperset(wanted)
    yield Covered(rule.id, How.PROVED if proved else How.LOOKED_AT)


def _of_limits(subject: Subject, known: frozenset[str]) -> Iterator[Covered]:
    for require in subject.message.requires:
        measure = MEASURES.get(require.measure.text)
        value = measure.value(subject) if measure else None
        how = How.PROVED if measure and known.issuperset(measure.extremes) else How.LOOKED_AT
        text = " ".join(require.span.text.split()[1:])
        yield Covered(REQUIRE, How.NOT_CHECKED if value is None else how, text)
