"""Does the code keep the Union's law on food labels? (rule set eu-food)"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import FOOD_PROFILE, GOOD_FOOD, food_example
from rasterc.checks.model import NO_ADVICE, Example, Finding, Rule, Subject
from rasterc.checks.printed.dates import MONTHS, Mark, is_gs1, marks
from rasterc.checks.printed.durability import (
    Life,
    chain_of,
    durable_marks,
)
from rasterc.checks.printed.lead_words import Kind
from rasterc.checks.rules.size import characters_mm, taller
from rasterc.fonts.model import Font
from rasterc.profile.model import RuleSet
from rasterc.source.declarations import Offset, Unit
from rasterc.source.message import Line
from rasterc.values.dates.steps import add_months

_REGULATION = "Regulation (EU) No 1169/2011"
_SMALL_SURFACE_CM2 = 80.0
_BOUNDARIES = (range(89, 93), range(546, 551))
"""Days that are 3 and 18 months, or not, by the day they begin on."""


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
        GOOD_FOOD.message,
        FOOD_PROFILE.replace("row_pitch_mm = 0.35", "row_pitch_mm = 0.12")
        .replace("throw_mm = 15", "throw_mm = 6")
        .replace("min_character_height_mm = 1.2\n", ""),
    )
    passes = GOOD_FOOD
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
            height = characters_mm(rows, profile)
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
    trips = food_example("2 months", "BEST BEFORE END", "MMM yyyy, upper", "JAN 2028")
    passes = GOOD_FOOD

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
    trips = food_example("10 days", "USE BY", "MMM yyyy, upper", "DEC 2027")
    passes = food_example("10 days", "USE BY", "dd MMM yyyy, upper", "05 DEC 2027")

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
    trips = food_example("60 days", "BEST BEFORE", "yyyy-MM-dd", "2028-01-24")
    passes = GOOD_FOOD

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every date in another order or with a coded part."""
        for mark in (mark for mark, _ in durable_marks(subject) if not is_gs1(mark)):
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


def _measured_rows(line: Line, font: Font, text: str) -> int:
    if line.tower:
        return font.cell_width()
    return font.rows_of("x" if _has_small(line, font, text) else "H0")


def _has_small(line: Line, font: Font, text: str) -> bool:
    return not line.tower and bool(font.rows_of("x")) and any(c.islower() for c in text)


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
