"""Do names written out by hand stand in their order?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.alphabets import printed_fields
from rasterc.checks.printed.dates import MONTHS, WEEKDAYS
from rasterc.checks.printed.lead_words import plain_words
from rasterc.source.declarations import Table
from rasterc.values.dates.languages import LANGUAGES, find_names
from rasterc.values.fields.kinds import ClockText, FieldPlan
from rasterc.values.fields.options import LookUp

Forms = tuple[frozenset[str], ...]


_ENOUGH = 4  # names that are known for a table to be one of names


_LETTERS = 2  # of a name cut short


_TABLE = 'clock packed in "UTC"\ntable day from 1 {{ {} }}\n'


_TABLE += 'block {{ line: "LOT " packed(YYww) packed(e, table day) }}'


_WEEK = ["MO", "TU", "WE", "TH", "FR", "SA", "SU"]


def _rows(names: list[str]) -> str:
    return " ".join(f'"{name}"' for name in names)


class NamesOutOfOrder(Rule):
    """A table of months or weekdays whose names stand for other numbers than they should."""

    id = "names-out-of-order"
    title = "A name of a month or weekday stands for another's number"
    rationale = (
        "Tables of names written out by hand have two of them changed over, or begin with Sunday, "
        "while e counts from Monday. Names are held against those of the shipped languages, also "
        "cut short; the language in which most of them stand in their place is taken."
    )
    source = "the names are those of the Unicode CLDR; UTS #35, part 4: M, e"
    trips = example(_TABLE.format(_rows(_WEEK[-1:] + _WEEK[:-1])))
    passes = example(_TABLE.format(_rows(_WEEK)))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such table that a month or weekday is looked up in."""
        seen: set[str] = set()
        for _, field in printed_fields(subject):
            for kind, table in _looked_up(field):
                wrong = [] if table.name in seen else misplaced(table.rows, kind)
                seen.add(table.name)
                if wrong:
                    key, text, number = wrong[0]
                    yield self.finding(
                        subject,
                        f'"{text}" stands for {key} in table {table.name}, and is the name of '
                        f"{number}" + (f"; {len(wrong) - 1} more" if len(wrong) > 1 else ""),
                        table.span,
                        "put the names in order, January and Monday being 1, or print the name "
                        "itself: MMM, EEE",
                    )


def _looked_up(field: FieldPlan) -> Iterator[tuple[str, Table]]:
    tables = [option.table for option in field.options if isinstance(option, LookUp)]
    parts = field.source.pattern.parts if isinstance(field.source, ClockText) else ()
    letters = {part.letter for part in parts if part.letter}
    if tables and len(letters) == 1:
        letter = letters.pop()
        if letter in MONTHS:
            yield "months", tables[0]
        elif letter in WEEKDAYS:
            yield "days", tables[0]


def misplaced(rows: Mapping[str, str], kind: str) -> list[tuple[str, str, int]]:
    """The rows whose text is the name of another number: key, text and that number.

    >>> misplaced({"1": "JAN", "2": "MAR", "3": "FEB", "4": "APR"}, "months")
    [('2', 'MAR', 3), ('3', 'FEB', 2)]
    """
    found = [_known(rows, _names(language, kind)) for language in LANGUAGES]
    best = max(found, key=lambda known: (len(known), sum(n == int(k) for k, _, n in known)))
    if len(best) < max(_ENOUGH, len(rows) - 2):
        return []
    return [(key, text, number) for key, text, number in best if int(key) != number]


def _known(rows: Mapping[str, str], names: Forms) -> list[tuple[str, str, int]]:
    known: list[tuple[str, str, int]] = []
    for key, text in rows.items():
        plain = "".join(plain_words(text))
        if len(plain) < _LETTERS or not key.isdigit():
            continue
        fits = [n for n, forms in enumerate(names, 1) if _is_form(plain, forms)]
        if len(fits) == 1:
            known.append((key, text, fits[0]))
        elif int(key) in fits:
            known.append((key, text, int(key)))
    return known


def _is_form(plain: str, forms: frozenset[str]) -> bool:
    return any(form.startswith(plain) for form in forms)


@cache
def _names(language: str, kind: str) -> Forms:
    """Of each month or weekday the names and abbreviations, plain."""
    lists = getattr(find_names(language, None), kind)
    told = [names for form, names in lists.items() if "narrow" not in form]
    return tuple(
        frozenset("".join(plain_words(name)) for name in forms) for forms in zip(*told, strict=True)
    )
