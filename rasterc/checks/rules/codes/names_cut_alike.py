"""Months or weekdays of which two print the same, cut short or as single letters."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from functools import cached_property
from itertools import takewhile

from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.checks.printed.alphabets import printed_fields
from rasterc.checks.printed.dates import MONTHS, WEEKDAYS
from rasterc.checks.printed.tokens import kept_cells
from rasterc.checks.rules.codes.listed import listed
from rasterc.values.dates.clocks import ClockValue
from rasterc.values.fields.kinds import ClockText, FieldPlan
from rasterc.values.fields.options import LookUp, Option

_MONTHS = [date(2027, month, 10) for month in range(1, 13)]


_WEEK = [date(2027, 11, day) for day in range(15, 22)]  # Monday to Sunday


_NUMBERS = {"M": "MM", "L": "LL", "E": "e", "e": "e", "c": "c"}


_DATE = """
message example {{
  raster 7
  font upright-7
  clock packed in "UTC"
  clock best = packed + 100 days
  block {{ line: "BEST BEFORE " best(dd) " " best({month}) " " best(yyyy) }}
  expect at 2027-11-25 14:05 {{ "BEST BEFORE 04 {text} 2028" }}
}}
"""


class NamesCutAlike(Rule):
    """Months or weekdays of which two print the same, cut short or as single letters."""

    id = "names-cut-alike"
    title = "Two months or weekdays print the same"
    rationale = (
        "JU is June and July, MA is March and May: a name cut short, or MMMMM, its first letter, "
        "may stand for a date that is months away. All twelve months and seven weekdays of the "
        "field's language are looked at, after the field's options. Quiet where the same clock "
        "tells the month or the day elsewhere in the message."
    )
    source = "the names are those of the Unicode CLDR"
    trips = Example(_DATE.format(month="MMM, first 2, upper", text="MA"))
    passes = Example(_DATE.format(month="MMM, upper", text="MAR"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such part of a field."""
        parts = [part for _, field in printed_fields(subject) for part in _parts(field)]
        for part in parts:
            same_clock = [other for other in parts if other.source.clock == part.source.clock]
            told = _tells_month if part.letter in MONTHS else _tells_weekday
            if part.alike and not told(same_clock):
                kind = "months" if part.letter in MONTHS else "weekdays"
                yield self.finding(
                    subject,
                    "; ".join(
                        f'"{text}" stands for {kind} {listed(numbers)}'
                        for text, numbers in part.alike.items()
                    ),
                    part.field.span,
                    f"print the whole name or the number: {part.field.name}({part.letter * 3}) or "
                    f"{part.field.name}({_NUMBERS[part.letter]})",
                )


@dataclass(frozen=True)  # no slots: what is worked out is kept in the instance
class _Part:
    """A date letter of a field: what it prints on each day that tells its values apart."""

    field: FieldPlan
    source: ClockText
    index: int

    @property
    def letter(self) -> str:
        return self.source.pattern.parts[self.index].letter

    @cached_property
    def texts(self) -> tuple[str, ...]:
        """What is printed, after the field's options, for every month or weekday."""
        options = takewhile(lambda option: not isinstance(option, LookUp), self.field.options)
        kept = tuple(options)
        return tuple(self._text(day, kept) for day in self._days)

    @cached_property
    def alike(self) -> dict[str, list[str]]:
        """Texts printed for several months or weekdays, with the numbers and names of these."""
        if self.letter not in MONTHS | WEEKDAYS:
            return {}
        found: dict[str, list[str]] = {}
        for number, (text, day) in enumerate(zip(self.texts, self._days, strict=True), 1):
            whole = self.source.pattern.parts[self.index].render(_at(day))
            name = "" if whole == text or whole.isdigit() else f" ({whole})"
            found.setdefault(text, []).append(f"{number}{name}")
        return {text: numbers for text, numbers in found.items() if text and len(numbers) > 1}

    @property
    def tells(self) -> bool:
        """Whether its value can be told from what is printed."""
        return all(self.texts) and not self.alike

    @property
    def _days(self) -> list[date]:
        return _WEEK if self.letter in WEEKDAYS else _MONTHS

    def _text(self, day: date, options: Sequence[Option]) -> str:
        texts = [part.render(_at(day)) for part in self.source.pattern.parts]
        cells = [(index, char) for index, text in enumerate(texts) for char in text]
        return "".join(char for owner, char in kept_cells(cells, options) if owner == self.index)


def _parts(field: FieldPlan) -> Iterator[_Part]:
    if isinstance(field.source, ClockText):
        for index, part in enumerate(field.source.pattern.parts):
            if part.letter:
                yield _Part(field, field.source, index)


def _at(day: date) -> ClockValue:
    return ClockValue(datetime.combine(day, time()), day)


def _tells_month(parts: Sequence[_Part]) -> bool:
    return any(part.tells for part in parts if part.letter in MONTHS | {"D"})


def _tells_weekday(parts: Sequence[_Part]) -> bool:
    """By its name or number, or by the day of the year or month it falls on."""
    named = any(part.tells for part in parts if part.letter in WEEKDAYS | {"D"})
    return named or (_tells_month(parts) and any(part.letter == "d" for part in parts))
