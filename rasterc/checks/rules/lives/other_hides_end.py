"""Does a table say when its rows have ended?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.alphabets import printed_fields
from rasterc.checks.printed.dates import MONTHS
from rasterc.diagnostics import Severity
from rasterc.source.declarations import Table
from rasterc.values.fields.kinds import ClockText, FieldPlan
from rasterc.values.fields.options import LookUp

_YEARS = 10


_TABLE = 'clock packed in "UTC"\ntable month {{ {} }}\n'


_TABLE += 'block {{ line: "LOT " packed(yy) packed(M, table month) }}'


_EACH = " ".join(f'{n} -> "{c}"' for n, c in enumerate("ABCDEFGHJKLM", 1))


class OtherHidesEnd(Rule):
    """`other` in a table of years or months that lists some of them one by one."""

    id = "other-hides-end"
    title = "`other` hides that a table of years or months has ended"
    severity = Severity.WARNING
    samples = True
    rationale = (
        "Without `other` a year that is not listed stops the line, and somebody adds a row. With "
        "it every year after the last prints one letter, and the lots of all of them are the same. "
        "The ten years after the instant are looked at."
    )
    source = "common practice, no source"
    trips = example(_TABLE.format(_EACH.replace('11 -> "L" ', "") + ' other -> "X"'))
    passes = example(_TABLE.format(_EACH))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such table."""
        seen: set[str] = set()
        for _, field in printed_fields(subject):
            for table, keys in _looked_up(subject, field):
                missing = [key for key in keys if key not in table.rows]
                listed = [table.rows[key] for key in table.rows]
                apart = len(set(listed)) == len(listed) > 1
                if table.name not in seen and table.other is not None and apart and missing:
                    seen.add(table.name)
                    yield self.finding(
                        subject,
                        f'table {table.name} prints "{table.other}" for {", ".join(missing[:4])}'
                        + (" and more" if len(missing) > 4 else ""),
                        table.span,
                        "list every one that can come, and leave `other` out",
                    )


def _looked_up(subject: Subject, field: FieldPlan) -> Iterator[tuple[Table, list[str]]]:
    """The tables of years and months, with the keys that come."""
    tables = [option.table for option in field.options if isinstance(option, LookUp)]
    if not tables or not isinstance(field.source, ClockText) or subject.when is None:
        return
    parts = [part for part in field.source.pattern.parts if part.letter]
    if len(parts) == 1 and parts[0].letter in MONTHS:
        yield tables[0], [str(month) for month in range(1, 13)]
    if len(parts) == 1 and parts[0].letter in "yY":
        first = subject.moment.clock(field.source.clock).day.year
        cut = 100 if parts[0].count == 2 else 10_000
        years = [year % cut for year in range(first, first + _YEARS)]
        if any(isinstance(option, LookUp) and option is not field.options[0]
               for option in field.options):  # fmt: skip
            return  # the last digit, say: it comes round
        yield tables[0], [str(year) for year in years]
