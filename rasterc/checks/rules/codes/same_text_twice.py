"""A table of which two keys give the same text, and others do not."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.checks.printed.alphabets import printed_fields
from rasterc.checks.rules.codes.listed import listed
from rasterc.diagnostics import Severity
from rasterc.source.declarations import Table
from rasterc.values.fields.kinds import ClockTable, FieldPlan
from rasterc.values.fields.options import LookUp


class SameTextTwice(Rule):
    """A table of which two keys give the same text, and others do not."""

    id = "same-text-twice"
    title = "Two keys of a table print the same text"
    severity = Severity.WARNING
    rationale = (
        "A letter that stands for two months, hours or plants cannot be traced back. Most often "
        "it was typed twice. A table that groups its keys, every text standing for two or more of "
        "them (months to quarters, hours to crews), is left alone."
    )
    source = "common practice, no source"
    trips = Example(
        'message example { raster 7 font upright-7 clock packed in "UTC" '
        'table month from 1, letters "ABCDEFGHJKLL" block { line: "L" packed(yyyy) '
        'packed(M, table month) packed(dd) } expect at 2027-11-25 14:05 { "L2027L25" } }'
    )
    passes = Example(trips.message.replace("KLL", "KLM"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such table that is printed."""
        fields = (field for _, field in printed_fields(subject))
        tables = {table.name: table for field in fields for table in _tables(field)}
        for table in tables.values():
            twice = {text: keys for text, keys in _by_text(table).items() if len(keys) > 1}
            if twice and not _groups(table):
                yield self.finding(
                    subject,
                    "; ".join(
                        f'"{text}" stands for the keys {listed(keys)} of table {table.name}'
                        for text, keys in twice.items()
                    ),
                    table.span,
                    "give each key a text of its own",
                )


def _tables(field: FieldPlan) -> Iterator[Table]:
    if isinstance(field.source, ClockTable):
        yield field.source.table
    yield from (option.table for option in field.options if isinstance(option, LookUp))


def _by_text(table: Table) -> dict[str, list[str]]:
    """The keys that give each text."""
    found: dict[str, list[str]] = {}
    for key, text in table.rows.items():
        found.setdefault(text, []).append(key)
    return found


def _groups(table: Table) -> bool:
    """Whether texts stand for several keys each, or one for half of all, so that it was meant."""
    keys = _by_text(table).values()
    shared = max(map(len, keys), default=0)
    return len(keys) > 1 and (
        all(len(each) > 1 for each in keys) or 2 * shared >= max(6, len(table.rows))
    )
