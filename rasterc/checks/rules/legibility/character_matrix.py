"""Drops a character is made of."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.checks.rules.legibility.heights import MIN_COLUMNS, MIN_ROWS, matrix
from rasterc.diagnostics import Severity


class CharacterMatrix(Rule):
    """Drops a character is made of."""

    id = "character-matrix"
    title = "Characters have fewer than 5 x 7 drops"
    severity = Severity.NOTE
    rationale = (
        "Five drops wide and seven high is the least from which digits and capitals are read "
        "without mistake. Smaller ones fit fast lines, where only a metre or a number is read."
    )
    source = "ISO 9241-3: 5 x 7 (width x height) at least for digits and capitals; a standard for "
    source += "displays, taken here as a measure of what is read"
    trips = Example('message example { raster 5 font upright-5 block { line: "12 A" } }')
    passes = Example('message example { raster 7 font upright-7 block { line: "12 A" } }')

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every line of a smaller font."""
        for line, font in subject.lines_to_print:
            columns, rows = matrix(font)
            if columns < MIN_COLUMNS or rows < MIN_ROWS:
                yield self.finding(
                    subject,
                    f"characters of {font.name} are {columns} x {rows} drops",
                    line.font_span,
                    f"use a font of at least {MIN_COLUMNS} x {MIN_ROWS} drops, upright-7 say",
                    measured=rows if rows < MIN_ROWS else columns,
                    limit=MIN_ROWS if rows < MIN_ROWS else MIN_COLUMNS,
                    unit="drops",
                )
