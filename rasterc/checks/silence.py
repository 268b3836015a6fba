"""Findings that the message says are known and accepted."""

from __future__ import annotations

from rasterc.checks.model import Finding
from rasterc.source.message import Silence


def covers(silence: Silence, finding: Finding) -> bool:
    """Whether a silence is meant for a finding: its rule, and its block if it stands in one."""
    if silence.rule.text != finding.rule:
        return False
    block, place = silence.block, finding.span
    if block is None:
        return True
    return (
        place is not None
        and place.source is block.source
        and block.start <= place.start
        and place.end <= block.end
    )
