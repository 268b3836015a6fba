"""Are the words those for a date with its day, or without? (rule set eu-food)"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import food_example
from rasterc.checks.model import NO_ADVICE, Finding, Rule, Subject
from rasterc.checks.printed.dates import Mark
from rasterc.checks.printed.durability import durable_marks, labelled_marks
from rasterc.checks.printed.lead_words import Kind, Lead, plain_words
from rasterc.checks.printed.leads import other_form
from rasterc.profile.model import RuleSet

_REGULATION = "Regulation (EU) No 1169/2011"


_BEST_BEFORE = (Kind.BEST_BEFORE, Kind.BEST_BEFORE_END)


class BestBeforeEnd(Rule):
    """The words before a date with its day, and before one without."""

    id = "best-before-end"
    title = (
        "The words before a date are those for one with its day, or without, and it is the other"
    )
    rule_set = RuleSet.EU_FOOD
    reads_words = True
    rationale = (
        "Where the date has no day the words are `best before end`, in the language of the label, "
        "and `best before` where it has. "
        f'"Best before AUG 2028" leaves open whether the first or the last of August. {NO_ADVICE}'
    )
    source = (
        f"{_REGULATION}, Annex X, point 1(a), in the languages of the Union; where each wording "
        "was read stands beside it in lead_words.csv"
    )
    trips = food_example("9 months to month end", "BEST BEFORE", "MMM yyyy, upper", "AUG 2028")
    passes = food_example("9 months to month end", "BEST BEFORE END", "MMM yyyy, upper", "AUG 2028")

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such date."""
        for mark in _introduced_days(subject):
            leads = [lead for lead in mark.leads if lead.kind in _BEST_BEFORE]
            if not leads or mark.has("Dw") or any(_fits(lead, mark) for lead in leads):
                continue
            other = other_form(leads[0])
            has = "has its day" if mark.has("d") else "has no day"
            shown = _shown(other) if other else ""
            yield self.finding(
                subject,
                f'"{mark.label} {mark.text.upper()}" {has}',
                mark.span,
                f'write "{shown.upper()}"' + ("" if mark.has("d") else ", or print the day"),
            )


def _shown(lead: Lead) -> str:
    """A lead, with the place of the date where that stands inside it."""
    return f"{lead.words} ... {' '.join(lead.after)}" if lead.after else lead.words


def _introduced_days(subject: Subject) -> Iterator[Mark]:
    durable = [mark for mark, _ in durable_marks(subject)]
    yield from durable
    yield from (mark for mark in labelled_marks(subject) if mark not in durable)


def _fits(lead: Lead, mark: Mark) -> bool:
    """Whether a lead is one for a date with its day when the mark has it, and the other way."""
    if not mark.has("d"):
        follows = plain_words(mark.after)[: len(lead.after)] == lead.after
        return lead.kind is Kind.BEST_BEFORE_END and follows
    others = (other for other in mark.leads if other.language == lead.language and other.after)
    ended = any(plain_words(mark.after)[: len(o.after)] == o.after for o in others)
    return lead.kind is Kind.BEST_BEFORE and not ended
