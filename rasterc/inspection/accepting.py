"""Which findings are known and accepted: by the message, or by a silence of the plant."""

from __future__ import annotations

from collections.abc import Sequence

from rasterc.checks.findings import Finding
from rasterc.checks.registry import Report, all_rules
from rasterc.inspection.tasks import Accept
from rasterc.inspection.verdict import Accepted


def sorted_out(
    found: Report, accepts: Sequence[Accept]
) -> tuple[tuple[Finding, ...], tuple[Accepted, ...]]:
    """The findings that stay, and those that are accepted, both in order.

    What the message accepts itself was taken out before; what it cannot silence, no plant can.
    """
    by_rule = {one.rule: one for one in reversed(accepts)}  # the first of each rule counts
    stay: list[Finding] = []
    taken: list[Accepted] = []
    for finding in found.findings:
        accept = by_rule.get(finding.rule)
        if accept is None or not all_rules()[finding.rule].can_be_silenced:
            stay.append(finding)
        else:
            taken.append(Accepted(finding, accept.because, accept.number))
    own = (Accepted(one.finding, one.reason) for one in found.silenced)
    return tuple(stay), (*own, *taken)
