"""Can a limit of the message ever be broken?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.measures import MEASURES
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.diagnostics import Severity
from rasterc.layout.model import MAX_STROKES
from rasterc.source.message import Comparison, Require

_LINE = 'block {{ line: "LOT 7" }}\nrequire characters {}'


_LEAST = (Comparison.AT_LEAST, Comparison.MORE)


_MOST = (Comparison.AT_MOST, Comparison.LESS)


class RequireIdle(Rule):
    """Limits that no message of this raster can break."""

    id = "require-idle"
    title = "A limit of the message can never be broken"
    severity = Severity.WARNING
    rationale = (
        "`require characters >= 0` and a height of at most 300 mm on 16 drops hold whatever is "
        "printed: the report says that limits were checked, and none was. Most often the unit or "
        "the direction is wrong."
    )
    source = "the message itself"
    trips = example(_LINE.format(">= 0"))
    passes = example(_LINE.format(">= 5"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such limit."""
        for require in subject.message.requires:
            most = _most(subject, require)
            below = require.comparison in _LEAST and require.limit <= 0
            above = require.comparison in _MOST and most is not None and require.limit > most
            if below or above:
                reach = "0" if below else f"{most:g}"
                how = "never falls below" if below else "never reaches more than"
                yield self.finding(
                    subject,
                    f"{require.measure.text} {how} {reach} on a raster of "
                    f"{subject.message.raster} drops",
                    require.span,
                    "set a limit that the specification asks for; look at its unit",
                )


def _most(subject: Subject, require: Require) -> float | None:
    """The most a measure can come to, in the unit of a limit."""
    measure = MEASURES.get(require.measure.text)
    if measure is None:
        return None
    raster = subject.message.raster
    counts = {"height": raster, "drops": MAX_STROKES * raster}
    most = measure.convert(subject, counts.get(require.measure.text, MAX_STROKES))
    unit = measure.units.get(require.unit.text) if require.unit else 1.0
    return None if most is None or unit is None else most / unit
