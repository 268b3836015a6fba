"""Does a date say which year it is?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.dates import Mark
from rasterc.checks.printed.durability import durable_marks, labelled_marks
from rasterc.checks.printed.tokens import Token


class ShortYear(Rule):
    """A date to which a product keeps with one digit of its year, or the first ones."""

    id = "short-year"
    title = "The year of a date is cut so that it cannot be read"
    reads_words = True
    rationale = (
        "24 JAN 8 and 24 JAN 20 name no year to anybody who buys the product. The last digit "
        "serves in codes of production; a date to which a product keeps has its year in two or "
        "four digits."
    )
    source = "common practice, no source"
    trips = example(
        'clock packed in "UTC"\nclock best = packed + 60 days\n'
        'block { line: "BEST BEFORE " best(dd MMM, upper) " " best(yyyy, first 2) }'
    )
    passes = example(
        'clock packed in "UTC"\nclock best = packed + 60 days\n'
        'block { line: "BEST BEFORE " best(dd MMM yyyy, upper) }'
    )

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such year."""
        for mark in _lasting(subject):
            year = mark.part("yY")
            if year is not None and not year.coded and _is_cut(subject, mark, year):
                yield self.finding(
                    subject,
                    f'the year of "{mark.text}" is "{year.text}"',
                    mark.span,
                    f"print it whole: {mark.clock}(yyyy)",
                )


def _lasting(subject: Subject) -> Iterator[Mark]:
    durable = [mark for mark, _ in durable_marks(subject)]
    yield from durable
    yield from (mark for mark in labelled_marks(subject) if mark not in durable)


def _is_cut(subject: Subject, mark: Mark, year: Token) -> bool:
    whole = f"{subject.moment.clock(mark.clock).day.year:04}"
    return year.is_number and (len(year.text) < 2 or not whole.endswith(year.text))
