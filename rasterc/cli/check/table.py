"""The closing table of a plant: how much was found on each line."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct

from rasterc.cli.check.outcome import Outcome
from rasterc.diagnostics import Severity
from rasterc.inspection.verdict import Verdict

_HEAD = ("line", "messages", "errors", "warnings", "notes", "clean", "not checked")


class Row(Struct, frozen=True):
    """What was found on a line: findings by severity, and messages."""

    line: str
    messages: int
    errors: int
    warnings: int
    notes: int
    clean: int
    broken: int


def rows(outcome: Outcome) -> list[Row]:
    """A row for each line of the plant, in order."""
    by_line: dict[str, list[Verdict]] = {name: [] for name in outcome.lines}
    for verdict in outcome.verdicts:
        if verdict.line is not None:
            by_line[verdict.line].append(verdict)
    return [_row(name, verdicts) for name, verdicts in by_line.items()]


def _row(name: str, verdicts: Sequence[Verdict]) -> Row:
    checked = [one for one in verdicts if not one.broken]
    errors, warnings, notes = (sum(one.count(s) for one in checked) for s in Severity)
    clean = sum(not one.findings for one in checked)
    broken = len(verdicts) - len(checked)
    return Row(name, len(verdicts), errors, warnings, notes, clean, broken)


def table(outcome: Outcome) -> list[str]:
    """The rows with their sums, for a terminal; nothing without lines."""
    if not outcome.lines:
        return []
    each = [*rows(outcome), _row("all", outcome.verdicts)]
    cells = [_HEAD, *(tuple(_cells(row)) for row in each)]
    widths = [max(map(len, column)) for column in zip(*cells, strict=True)]
    return [_aligned(line, widths) for line in cells]


def _cells(row: Row) -> Iterator[str]:
    name, *numbers = (getattr(row, field) for field in row.__struct_fields__)
    yield name
    yield from (f"{number:,}" if number else "-" for number in numbers)


def _aligned(cells: Sequence[str], widths: Sequence[int]) -> str:
    first, *others = zip(cells, widths, strict=True)
    shown = [first[0].ljust(first[1]), *(cell.rjust(width) for cell, width in others)]
    return "  ".join(shown)
