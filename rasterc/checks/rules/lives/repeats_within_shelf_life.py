"""What the date letters leave out of the year against the shelf life."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import Example, Finding, Rule, Subject, example_profile
from rasterc.checks.printed.dates import WEEKDAYS, Mark, marks
from rasterc.checks.printed.durability import (
    is_fixed,
    shelf_life_days,
)
from rasterc.checks.printed.tokens import Token
from rasterc.diagnostics import Severity
from rasterc.source.declarations import Restart
from rasterc.values.fields.kinds import CounterText, InputText
from rasterc.values.fields.options import LookUp


class RepeatsWithinShelfLife(Rule):
    """What the date letters leave out of the year against the shelf life."""

    id = "repeats-within-shelf-life"
    title = "The same code comes again while the product is still good"
    severity = Severity.WARNING
    needs_profile = True
    samples = True
    rationale = (
        "A code without the year comes again after a year, one with the last digit of the year "
        "after ten. If the product keeps that long, two lots on the shelf carry the same code and "
        "cannot be told apart in a recall. Told from the date letters alone; a printed input or a "
        "counter that never restarts makes codes different."
    )
    source = "common practice, no source"
    trips = Example(
        'message example { raster 7 font upright-7 clock packed in "Europe/Dublin" '
        'block { line: "L" packed(dd MMM, upper) } expect at 2027-11-25 14:05 { "L25 NOV" } }',
        example_profile(product="shelf_life_days = 400"),
    )
    passes = Example(
        trips.message.replace("MMM,", "MMM yyyy,").replace("NOV", "NOV 2027"), trips.profile
    )

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield one finding when the date letters come again within the shelf life."""
        keeps = shelf_life_days(subject)
        printed = [mark for mark in marks(subject) if not is_fixed(subject, mark.clock)]
        if keeps is None or not printed or _is_numbered(subject):
            return
        after = max(map(_days_until_again, printed))
        if after <= keeps:
            yield self.finding(
                subject,
                f"the code can come again after {after} days; the product keeps {keeps} days",
                printed[0].span,
                "print more of the year (yy or yyyy), a lot number, or a counter that never "
                "restarts",
                measured=after,
                limit=keeps,
                unit="days",
            )


def _is_numbered(subject: Subject) -> bool:
    """Whether an input, or a counter that never restarts, makes codes of two years different."""
    sources = [field.source for field in subject.plan.fields]
    return any(
        isinstance(source, InputText)
        or (isinstance(source, CounterText) and source.counter.restart is Restart.NEVER)
        for source in sources
    )


def _days_until_again(mark: Mark) -> int:
    """Days after which a mark's letters print the same again, at the earliest."""
    year = mark.part("yY")
    if year is not None:
        return 365 * _years(year)
    if mark.has("MLDw"):
        return 365
    if mark.has("d"):
        return 28
    return 7 if mark.has(WEEKDAYS) else 1


def _years(year: Token) -> int:
    """After how many years a year is printed the same again."""
    tables = [o.table for o in (year.field.options if year.field else ()) if isinstance(o, LookUp)]
    if tables:
        return len(set(tables[-1].rows.values()))
    return int(10 ** len(year.text)) if len(year.text) < 4 else 10_000
