"""Drops of characters that are read one by one."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.checks.rules.laws.medicines import pack
from rasterc.checks.rules.legibility.heights import matrix
from rasterc.diagnostics import Severity
from rasterc.profile.model import RuleSet


class FineMatrix(Rule):
    """Drops of characters that are read one by one."""

    id = "fine-matrix"
    title = "Characters read one by one have fewer than 7 x 9 drops"
    severity = Severity.WARNING
    rule_set = RuleSet.EU_MEDICINE
    rationale = (
        "Batch and serial are read letter by letter, with no word to guess from. Seven drops wide "
        "and nine high is the least for that; five by seven is enough for digits and capitals that "
        "are read in passing."
    )
    source = "ISO 9241-3: 7 x 9 (width x height) where single characters matter"
    trips = Example(
        pack().message.replace("raster 9", "raster 7").replace("upright-9", "upright-7"),
        pack().profile,
    )
    passes = pack()

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every line of a smaller font."""
        for line, font in subject.lines_to_print:
            columns, rows = matrix(font)
            if columns < 7 or rows < 9:
                yield self.finding(
                    subject,
                    f"characters of {font.name} are {columns} x {rows} drops",
                    line.font_span,
                    "use a font of at least 7 x 9 drops, upright-9 say",
                    measured=rows if rows < 9 else columns,
                    limit=9 if rows < 9 else 7,
                    unit="drops",
                )
