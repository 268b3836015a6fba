"""Is the lot of a food marked as one? (rule set eu-food)"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import FOOD_PROFILE, food_example
from rasterc.checks.model import NO_ADVICE, Example, Finding, Rule, Subject
from rasterc.checks.printed.dates import MONTHS, Mark, fields_introduced, marks
from rasterc.checks.printed.durability import durable_marks, is_fixed, labelled_marks
from rasterc.checks.printed.lead_words import Kind
from rasterc.checks.printed.leads import is_lot
from rasterc.diagnostics import Severity, Span
from rasterc.profile.model import RuleSet
from rasterc.values.fields.kinds import CounterText, InputText

_NO_LOT_CM2 = 10.0


class LotMark(Rule):
    """A lot, and the L before it."""

    id = "lot-mark"
    title = "The lot is not marked as one"
    severity = Severity.WARNING
    rule_set = RuleSet.EU_FOOD
    reads_words = True
    rationale = (
        "Food carries a mark of its lot, with the letter L before it unless it stands clearly "
        "apart. A date with at least the day and the month, uncoded and in that order, stands for "
        "it: one of month and year never does. Not asked for where the largest side of the package "
        f"is under 10 cm2 (largest_surface_cm2). {NO_ADVICE}"
    )
    source = "Directive 2011/91/EU, Article 3, and the exceptions as a national text states them"
    trips = Example(
        food_example("9 months", "BEST BEFORE END", "MMM yyyy, upper", "AUG 2028")
        .message.replace('" L"', '" "')
        .replace("2028 L", "2028 "),
        FOOD_PROFILE,
    )
    passes = food_example("9 months to month end", "BEST BEFORE END", "MMM yyyy, upper", "AUG 2028")

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield one finding when the message has no marked lot and no date that stands for it."""
        dates = [*(mark for mark, _ in durable_marks(subject)), *labelled_marks(subject)]
        lots, marked = _lots(subject, {mark.clock for mark in dates})
        if marked or _is_small(subject) or any(map(_stands_for_lot, dates)):
            return
        if not (lots or dates):
            return
        text, span = lots[0] if lots else ("", subject.message.span)
        said = f'the lot "{text}" has no L before it' if lots else "there is no lot"
        yield self.finding(
            subject,
            f"{said}, and no date with day and month stands for one",
            span,
            'write "L" before the lot, "L" packed(yyDDD) say, or print the day of the date',
        )


def _is_small(subject: Subject) -> bool:
    surface = subject.profile.product.largest_surface_cm2 if subject.profile else None
    return surface is not None and surface < _NO_LOT_CM2


def _stands_for_lot(mark: Mark) -> bool:
    """Whether a date has day and month, uncoded, in that order."""
    day, month = mark.part("d"), mark.part(MONTHS)
    if day is None or month is None or day.coded or month.coded:
        return False
    return mark.parts.index(day) < mark.parts.index(month)


def _lots(subject: Subject, ending: set[str]) -> tuple[list[tuple[str, Span]], bool]:
    """What may be a lot (inputs and production dates), and whether one, or a counter, is marked.

    A clock in ``ending`` tells the end of the product's life; a fixed date or a month alone tells
    no lot from the next.
    """
    codes = [
        mark
        for mark in marks(subject)
        if mark.clock not in ending and not is_fixed(subject, mark.clock) and mark.has("yYdDw")
    ]
    found = [(mark.text, mark.span) for mark in codes]
    marked = any(Kind.LOT in mark.kinds for mark in codes)
    for token, words in fields_introduced(subject):
        source = token.field.source if token.field else None
        if isinstance(source, InputText):
            found.append((token.text, token.span))
        if isinstance(source, InputText | CounterText) and is_lot(words):
            marked = True
    return found, marked
