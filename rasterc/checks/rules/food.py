"""Does the code keep the Union's law on food labels? (rule set eu-food)"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import NO_ADVICE, Example, Finding, Rule, Subject, example_profile
from rasterc.checks.printed.dates import MONTHS, Mark, fields_introduced, marks
from rasterc.checks.printed.durability import (
    Life,
    chain_of,
    durable_marks,
    is_fixed,
    labelled_marks,
)
from rasterc.checks.printed.lead_words import Kind, Lead, plain_words
from rasterc.checks.printed.leads import is_lot, other_form
from rasterc.checks.rules.size import taller
from rasterc.diagnostics import Severity, Span
from rasterc.fonts.model import Font
from rasterc.head.timing import height_mm
from rasterc.profile.model import LineProfile, RuleSet
from rasterc.source.declarations import Offset, Unit
from rasterc.source.message import Line
from rasterc.values.dates.steps import add_months
from rasterc.values.fields.kinds import CounterText, InputText

_FOOD = example_profile(RuleSet.EU_FOOD)
_BEST = """
message example {{
  raster 7
  font upright-7
  clock packed in "Europe/Dublin", day from 06:00
  clock best = packed + {life}
  block {{ line: "{words} " best({pattern}) " L" packed(yyDDD) }}
  expect at 2027-11-25 14:05 {{ "{words} {text} L27329" }}
}}
"""
_REGULATION = "Regulation (EU) No 1169/2011"
_SMALL_SURFACE_CM2, _NO_LOT_CM2 = 80.0, 10.0
_BOUNDARIES = (range(89, 93), range(546, 551))
"""Days that are 3 and 18 months, or not, by the day they begin on."""

_BEST_BEFORE = (Kind.BEST_BEFORE, Kind.BEST_BEFORE_END)


def _example(life: str, words: str, pattern: str, text: str) -> Example:
    return Example(_BEST.format(life=life, words=words, pattern=pattern, text=text), _FOOD)


_GOOD = _example("60 days", "BEST BEFORE", "dd MMM yyyy, upper", "24 JAN 2028")


class XHeight(Rule):
    """Height of the date's small letters, or of its capitals and digits."""

    id = "x-height"
    title = "The date is smaller than the law allows"
    rule_set = RuleSet.EU_FOOD
    needs_profile = True
    samples = True
    rationale = (
        "The date is mandatory, and mandatory text has an x-height of at least 1.2 mm, or 0.9 mm "
        "on a package whose largest surface is under 80 cm2 (largest_surface_cm2). The height "
        "is measured over the drops, the drop itself included. How text without small letters is "
        f"measured is not said: of a code of capitals and digits theirs is taken. {NO_ADVICE}"
    )
    source = (
        f"{_REGULATION}, Article 13(2) and (3), consolidated text; that Annex IV measures the x: "
        "from memory"
    )
    trips = Example(
        _GOOD.message,
        _FOOD.replace("row_pitch_mm = 0.35", "row_pitch_mm = 0.12")
        .replace("throw_mm = 15", "throw_mm = 6")
        .replace("min_character_height_mm = 1.2\n", ""),
    )
    passes = _GOOD
    limit_mm, small_limit_mm = 1.2, 0.9

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every line with a date whose letters are too small."""
        profile = subject.profile
        if profile is None:
            return
        surface = profile.product.largest_surface_cm2
        small = surface is not None and surface < _SMALL_SURFACE_CM2
        limit = self.small_limit_mm if small else self.limit_mm
        dated = {mark.line.span for mark, _ in durable_marks(subject)}
        for line, font, text in subject.printed_lines:
            rows = _measured_rows(line, font, text)
            height = height_mm(rows, *_pitch_and_dot(profile))
            if line.span in dated and height + 1e-9 < limit:
                what = "small letters" if _has_small(line, font, text) else "capitals and digits"
                yield self.finding(
                    subject,
                    f"{what} of {font.name} are {height:.2f} mm high on this line; the date needs "
                    f"{limit:g} mm",
                    line.font_span,
                    f"use a font with more rows, or {taller(rows, limit, profile)}",
                    measured=height,
                    limit=limit,
                    unit="mm",
                )


class DateForm(Rule):
    """Which of day, month and year are printed, against how long the food keeps."""

    id = "date-form"
    title = "The date says less than the shelf life asks for"
    rule_set = RuleSet.EU_FOOD
    rationale = (
        "The date is day, month and year. Day and month suffice for food that keeps up "
        "to 3 months; month and year for more than 3 and up to 18 months; the year alone for "
        "more than 18 months. The life is the profile's shelf_life_days, else what the clock "
        "adds, moves such as `to month end` left out. Of 89 to 92 and of 546 to 550 days, which "
        "are 3 or 18 months on some days only, nothing is said; exactly 3 months differ "
        f"between the languages of the text, and the English is taken. {NO_ADVICE}"
    )
    source = f"{_REGULATION}, Annex X, point 1(c)"
    trips = _example("2 months", "BEST BEFORE END", "MMM yyyy, upper", "JAN 2028")
    passes = _GOOD

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every date that lacks a part."""
        stated = subject.profile.product.shelf_life_days if subject.profile else None
        for mark, life in durable_marks(subject):
            in_days = stated is not None or _counts_days(subject, mark)
            missing = _missing(mark, life.lasting(stated), in_days)
            if missing:
                days = life.lasting(stated).days
                form = {"day": "dd MMM yyyy", "month": "MMM yyyy", "year": "dd MMM yyyy"}[missing]
                yield self.finding(
                    subject,
                    f'"{mark.text}" lacks the {missing}: the food keeps {days} days, '
                    f"{_months(life.lasting(stated))}",
                    mark.span,
                    f"print the {missing} too: {mark.clock}({form})",
                    measured=days,
                    unit="days",
                )


class UseByDay(Rule):
    """A use-by date against its parts."""

    id = "use-by-day"
    title = "A use-by date without its day"
    rule_set = RuleSet.EU_FOOD
    reads_words = True
    rationale = (
        "After its use-by date food is deemed unsafe. The date always has the day and the month, "
        f"and the year where it may be needed. {NO_ADVICE}"
    )
    source = f"{_REGULATION}, Article 24 and Annex X, point 2, as stated by a secondary text"
    trips = _example("10 days", "USE BY", "MMM yyyy, upper", "DEC 2027")
    passes = _example("10 days", "USE BY", "dd MMM yyyy, upper", "05 DEC 2027")

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every date behind the words `use by` that lacks day or month."""
        for mark in marks(subject):
            shows_day = mark.has("yYMLdDwQqEec")
            whole = mark.has("d") and mark.has(MONTHS)
            if Kind.USE_BY in mark.kinds and shows_day and not whole:
                yield self.finding(
                    subject,
                    f'the use-by date "{mark.text}" lacks the day or the month',
                    mark.span,
                    f"print day, month and year: {mark.clock}(dd MMM yyyy)",
                )


class DateOrder(Rule):
    """Order of day, month and year, and codes in their place."""

    id = "date-order"
    title = "The date is not day, month, year in plain figures or names"
    rule_set = RuleSet.EU_FOOD
    rationale = (
        "The date is printed uncoded, in the order day, month, year. A day of the year, a week or "
        f"a letter for the month is a code. {NO_ADVICE}"
    )
    source = f"{_REGULATION}, Annex X, point 1(c); point 2 as stated by a secondary text"
    trips = _example("60 days", "BEST BEFORE", "yyyy-MM-dd", "2028-01-24")
    passes = _GOOD

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every date in another order or with a coded part."""
        for mark, _ in durable_marks(subject):
            order = "".join(c for c in mark.letters.replace("L", "M") if c in "dMyY")
            coded = mark.has("Dw") or any(part.coded for part in mark.parts)
            wrong = order.replace("Y", "y") not in ("dMy", "dM", "My", "y", "d", "M")
            if coded or wrong:
                said = "is coded" if coded else "is not in the order day, month, year"
                yield self.finding(
                    subject,
                    f'the date "{mark.text}" {said}',
                    mark.span,
                    f"print {mark.clock}(dd MMM yyyy) or {mark.clock}(dd/MM/yyyy)",
                )


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
    trips = _example("9 months to month end", "BEST BEFORE", "MMM yyyy, upper", "AUG 2028")
    passes = _example("9 months to month end", "BEST BEFORE END", "MMM yyyy, upper", "AUG 2028")

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
        _example("9 months", "BEST BEFORE END", "MMM yyyy, upper", "AUG 2028")
        .message.replace('" L"', '" "')
        .replace("2028 L", "2028 "),
        _FOOD,
    )
    passes = _example("9 months to month end", "BEST BEFORE END", "MMM yyyy, upper", "AUG 2028")

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


def _measured_rows(line: Line, font: Font, text: str) -> int:
    if line.tower:
        return font.cell_width()
    return font.rows_of("x" if _has_small(line, font, text) else "H0")


def _has_small(line: Line, font: Font, text: str) -> bool:
    return not line.tower and bool(font.rows_of("x")) and any(c.islower() for c in text)


def _pitch_and_dot(profile: LineProfile) -> tuple[float, float]:
    return profile.head.row_pitch_mm, profile.product.dot_diameter_mm


def _counts_days(subject: Subject, mark: Mark) -> bool:
    """Whether a date is counted in days and weeks alone."""
    steps = [step for clock in chain_of(subject, mark.clock) for step in clock.steps]
    return not any(isinstance(s, Offset) and s.unit in (Unit.MONTH, Unit.YEAR) for s in steps)


def _missing(mark: Mark, life: Life, in_days: bool) -> str:
    """The part of the date that the life asks for and the mark lacks, or "".

    Of so many days that they are as many months on some days only, "".
    """
    if in_days and any(life.days in days for days in _BOUNDARIES):
        return ""
    if life.keeps_beyond(3) and not mark.has("yY"):
        return "year"
    if not life.keeps_beyond(18) and not mark.has("MLDw"):
        return "month"
    if not life.keeps_beyond(3) and not mark.has("dD"):
        return "day"
    return ""


def _months(life: Life) -> str:
    for months in (3, 18):
        if not life.keeps_beyond(months):
            return f"no more than {months} months ({add_months(life.made, months)})"
    return "more than 18 months"


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
