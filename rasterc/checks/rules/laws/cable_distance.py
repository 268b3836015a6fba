"""Do the marks of a cable come often enough? (rule set cable)"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import NO_ADVICE, Finding, Rule, Subject
from rasterc.checks.pace import timings
from rasterc.profile.model import RuleSet

_LIMIT_MM = 1000.0


_MARK = 'block { line: "FLEX 3G1.5" }'


_PITCH = "product_pitch_mm = {}\nprint_window_mm = 400"


class CableDistance(Rule):
    """From the end of one mark to the beginning of the next."""

    id = "cable-distance"
    title = "The marks of a cable or pipe are too far apart"
    rule_set = RuleSet.CABLE
    needs_profile = True
    rationale = (
        "Between the end of one inscription and the beginning of the next lies at most one metre "
        "on a cable; on a pipe the marks come at least once a metre. Standards for single kinds of "
        "cable ask for less: 550 mm on the sheath, 275 mm on the insulation, from memory. The "
        f"profile's product_pitch_mm is the distance from one mark to the next. {NO_ADVICE}"
    )
    source = "GOST R 55025-2012, 5.2.7.3: gap of 1000 mm at most; EN 1519-1 for pipes: 1 m at most"
    trips = example(_MARK, rules=RuleSet.CABLE, profile=_PITCH.format(1500))
    passes = example(_MARK, rules=RuleSet.CABLE, profile=_PITCH.format(500))

    def proof(self, subject: Subject) -> tuple[str, ...] | None:
        """Known of all values by their extremes."""
        del subject
        return ("shortest",)

    def of_print(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding when the gap is too wide at some speed."""
        pitch = subject.profile.line.product_pitch_mm if subject.profile else None
        shortest = min((t.length_mm for t in timings(subject)), default=None)
        if pitch is None or shortest is None:
            return
        gap = pitch - shortest
        if gap > _LIMIT_MM + 1e-9:
            yield self.finding(
                subject,
                f"{gap:.0f} mm lie between one mark and the next",
                subject.message.span,
                f"trigger the mark every {_LIMIT_MM + shortest:.0f} mm or less",
                measured=gap,
                limit=_LIMIT_MM,
                unit="mm",
            )
