"""Blocks side by side without an empty stroke between them."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.diagnostics import Severity
from rasterc.source.message import Block, Line


class BlocksTouch(Rule):
    """Blocks side by side without an empty stroke between them."""

    id = "blocks-touch"
    title = "Two blocks stand side by side without a gap"
    severity = Severity.WARNING
    rationale = (
        "With no empty stroke between two blocks the last character of the one and the first of "
        "the other run together, and digits of two fields are read as one number."
    )
    source = "common practice, no source"
    trips = Example(
        "message example { raster 7 font upright-7 gap 0 "
        'block { line: "12" } block { line: "34" } }'
    )
    passes = Example(trips.message.replace("gap 0", "gap 3"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every block but the first that has no gap before it."""
        for block in subject.message.blocks[1:]:
            if block.gap == 0:
                spacing = max((subject.fonts[name].spacing for name in _fonts(block)), default=1)
                yield self.finding(
                    subject,
                    "no empty stroke stands between this block and the one before it",
                    block.span,
                    f"write `block gap {spacing + 1}` or more: characters of the line stand "
                    f"{spacing} apart",
                    measured=0,
                    limit=1,
                    unit="strokes",
                )


def _fonts(block: Block) -> Iterator[str]:
    lines = block.content if isinstance(block.content, tuple) else ()
    return (line.font for line in lines if isinstance(line, Line))
