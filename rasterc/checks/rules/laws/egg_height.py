"""Is the code of an egg high enough? (rule set egg)"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import NO_ADVICE, Finding, Rule, Subject
from rasterc.checks.rules.legibility.heights import taller
from rasterc.head.timing import rows_high_mm
from rasterc.profile.model import RuleSet

_LIMIT_MM = 2.0


_CODE = 'block { line: "1-DE-1234501" }'


_SMALL = "row_pitch_mm = 0.25\nstroke_pitch_mm = 0.25"


class EggHeight(Rule):
    """Height of the letters and figures of the producer's code."""

    id = "egg-height"
    title = "The producer's code of an egg is lower than 2 mm"
    rule_set = RuleSet.EGG
    needs_profile = True
    rationale = (
        "The producer's number on an egg is at least 2 mm high. The height is measured over the "
        f"drops, the drop itself included. {NO_ADVICE}"
    )
    source = "Regulation (EC) No 2295/2003, Article 8(3) (repealed); that it was kept: from memory"
    trips = example(_CODE, rules=RuleSet.EGG, profile=_SMALL)
    passes = example(_CODE, rules=RuleSet.EGG)

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every line of lower characters."""
        profile = subject.profile
        if profile is None:
            return
        for line, font in subject.lines_to_print:
            rows = font.rows_of("H0")
            height = rows_high_mm(rows, profile)
            if height + 1e-9 < _LIMIT_MM:
                yield self.finding(
                    subject,
                    f"characters of {font.name} are {height:.2f} mm high",
                    line.font_span,
                    f"use a font with more rows, or {taller(rows, _LIMIT_MM, profile)}",
                    measured=height,
                    limit=_LIMIT_MM,
                    unit="mm",
                )
