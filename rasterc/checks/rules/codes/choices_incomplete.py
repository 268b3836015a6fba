"""Are all months there to choose from?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.alphabets import printed_fields
from rasterc.checks.printed.written import month_named
from rasterc.diagnostics import Severity
from rasterc.values.fields.kinds import InputText

_MONTHS = ["JAN", "FEB", "MAR", "APR", "MAY", "JUN", "JUL", "AUG", "SEP", "OCT", "NOV", "DEC"]


_MOST = 100  # more are no list of months
_ENOUGH = 6


_LINE = 'input month one of {}, default "JAN"\nblock {{ line: "MADE IN " month }}'


def _choices(months: list[str]) -> str:
    return " ".join(f'"{month}"' for month in months)


class ChoicesIncomplete(Rule):
    """An input whose choices are the names of months, and one is missing."""

    id = "choices-incomplete"
    title = "A month is missing among the choices of an input"
    severity = Severity.WARNING
    rationale = (
        "In the month that was forgotten the operator takes the next best one, and every code of "
        "it is wrong. A clock prints the month without being asked."
    )
    source = "the names are those of the Unicode CLDR"
    trips = example(_LINE.format(_choices(_MONTHS[:-1])))
    passes = example(_LINE.format(_choices(_MONTHS)))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such input."""
        seen: set[str] = set()
        for _, field in printed_fields(subject):
            if not isinstance(field.source, InputText) or field.name in seen:
                continue
            seen.add(field.name)
            choices = field.source.rule.input.choices
            if len(choices) > _MOST:
                continue
            months = {month_named(text) for text in choices}
            if len(choices) >= _ENOUGH and None not in months and len(months) < len(_MONTHS):
                lost = sorted(set(range(1, 13)) - months)
                yield self.finding(
                    subject,
                    f"input {field.name} offers no name for month {lost[0]}"
                    + (f" and {len(lost) - 1} more" if len(lost) > 1 else ""),
                    field.source.rule.input.span,
                    "add it, or print the month from a clock: packed(MMM)",
                )
