"""A lot of six or eight digits that is, or can be, a date."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.checks.printed.dates import Mark, fields_introduced, marks
from rasterc.checks.printed.durability import durable_marks, life_of
from rasterc.checks.printed.lead_words import Kind
from rasterc.checks.printed.leads import is_lot
from rasterc.diagnostics import Severity, Span
from rasterc.values.fields.kinds import InputText


class LotReadsAsDate(Rule):
    """A lot of six or eight digits that is, or can be, a date."""

    id = "lot-reads-as-date"
    title = "The lot can be taken for a date"
    severity = Severity.WARNING
    samples = True
    rationale = (
        "L271125 beside a best-before date is read as a second date, and somebody acts on the "
        "wrong one. A lot made of the day of the year, or with a letter in it, is not."
    )
    source = "common practice, no source"
    trips = Example(
        'message example { raster 7 font upright-7 clock packed in "Europe/Dublin" '
        'clock best = packed + 90 days block { line: best(dd MMM yyyy, upper) " L" '
        'packed(yyMMdd) } expect at 2027-11-25 14:05 { "23 FEB 2028 L271125" } }'
    )
    passes = Example(trips.message.replace("yyMMdd", "yyDDD").replace("L271125", "L27329"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such production date and input."""
        for mark in marks(subject):
            if self._is_date(subject, mark):
                yield self._report(subject, mark.text, mark.span)
        for token, words in fields_introduced(subject):
            source = token.field.source if token.field else None
            if isinstance(source, InputText) and is_lot(words):
                shown = next((t for t in _as_dates(subject) if _allows(source, t)), None)
                if shown is not None:
                    yield self._report(subject, shown, token.span)

    def _is_date(self, subject: Subject, mark: Mark) -> bool:
        parts = [mark.part(letters) for letters in ("yY", "ML", "d")]
        numbers = all(part is not None and part.is_number and part.whole for part in parts)
        return numbers and Kind.LOT in mark.kinds and life_of(subject, mark.clock) is None

    def _report(self, subject: Subject, text: str, span: Span) -> Finding:
        return self.finding(
            subject,
            f'the lot can be "{text}", which reads as a date',
            span,
            "use the day of the year (yyDDD), or a letter for the month: packed(M, table ...)",
        )


def _as_dates(subject: Subject) -> Iterator[str]:
    """Six and eight digits that read as the day of production or as the date printed."""
    days: list[date] = [life.stated for _, life in durable_marks(subject)]
    if subject.when:
        days.append(subject.when.date())
    for day in days:
        for form in ("%d%m%y", "%y%m%d", "%m%d%y", "%d%m%Y", "%Y%m%d"):
            yield day.strftime(form)


def _allows(source: InputText, text: str) -> bool:
    """Whether a pattern lets the text be given; an input without one is `unchecked-input`."""
    return source.rule.automaton is not None and not source.rule.faults(text, None)
