"""What a rule is."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import ClassVar

from rasterc.checks.findings import Finding as Finding
from rasterc.checks.printed.dates import words_vary
from rasterc.checks.subject import Subject as Subject
from rasterc.diagnostics import Severity, Span
from rasterc.profile.model import RuleSet

NO_ADVICE = "No legal advice; check local law and ask your authority."
"""The last sentence of the rationale of every rule taken from a law."""


FAULTS = "faults"
"""Known of all values: whether any of them has no text, or none that can be laid out."""

LIVES = "lives"
"""Known of all instants: where dates lie nearest to production, and farthest; and the last."""

EXAMPLE_PROFILE = """
name = "example line"
rules = ["general"]
[head]
drop_frequency_hz = 73900
throw_mm = 15
row_pitch_mm = 0.35
drop_diameter_um = 113
[[raster]]
drops = 5
guard_drops = 1
stroke_gap_drops = 2
[[raster]]
drops = 7
guard_drops = 1
stroke_gap_drops = 2
[[raster]]
drops = 16
stroke_gap_drops = 2
[line]
speeds_m_s = [1.2]
stroke_pitch_mm = 0.35
product_pitch_mm = 90
print_window_mm = 70
[product]
dot_diameter_mm = 0.4
min_character_height_mm = 1.2
"""

EXAMPLE_MESSAGE = """
message example {
  raster 7
  font upright-7
  clock packed in "Europe/Dublin"
  block { line: "LOT " packed(yyDDD) }
  expect at 2027-11-25 14:05 { "LOT 27329" }
}
"""


@dataclass(frozen=True, slots=True)
class Example:
    """A message, a profile, an instant and what is typed, that show a rule at work."""

    message: str = EXAMPLE_MESSAGE
    profile: str = EXAMPLE_PROFILE
    at: str = "2027-11-25 14:05"
    inputs: Mapping[str, str] = field(default_factory=dict)


def example_profile(rules: RuleSet = RuleSet.GENERAL, product: str = "") -> str:
    """The example profile with one more set of rules and more lines under ``[product]``."""
    chosen = dict.fromkeys(["general", str(rules)])
    listed = ", ".join(f'"{name}"' for name in chosen)
    return EXAMPLE_PROFILE.replace('["general"]', f"[{listed}]") + product + "\n" * bool(product)


class Rule:
    """A rule. Subclass it in a room of `rasterc.checks.rules`; nothing else needs editing.

    A rule looks at what is the same at every instant (`of_message`: fields, patterns, fonts), at
    one print (`of_print`: texts and strokes), or at both.

    ``trips`` must make the rule find something, ``passes`` (its repaired twin) must not: a test
    runs both, and `explain` shows them. ``can_be_silenced`` is False for what keeps a message
    from being printed or breaks its own promises; ``needs_profile`` is True for what can find
    nothing, or less, without a line profile. ``samples`` is True when what `of_message` finds is
    worked out from some moments or prints, so that it proves nothing of the others; ``reads_words``
    when it goes by the words before fields, which tables and inputs may change;
    ``flies`` when it lets drops fly, which takes too long to be done for every row of a table.
    """

    id: ClassVar[str]
    title: ClassVar[str]
    severity: ClassVar[Severity] = Severity.ERROR
    rule_set: ClassVar[RuleSet] = RuleSet.GENERAL
    can_be_silenced: ClassVar[bool] = True
    needs_profile: ClassVar[bool] = False
    samples: ClassVar[bool] = False
    reads_words: ClassVar[bool] = False
    flies: ClassVar[bool] = False
    rationale: ClassVar[str]
    source: ClassVar[str]
    trips: ClassVar[Example]
    passes: ClassVar[Example]

    @property
    def family(self) -> str:
        """The name of the room it stands in."""
        return type(self).__module__.split(".")[-2]

    @property
    def question(self) -> str:
        """What its family asks: the first line of the room's documentation."""
        room = type(self).__module__.rpartition(".")[0]
        return (sys.modules[room].__doc__ or "").partition("\n")[0]

    def check(self, subject: Subject) -> Iterator[Finding]:
        """Everything this rule finds in the subject."""
        yield from self.of_any_print(subject)
        yield from self.of_print(subject)

    def of_any_print(self, subject: Subject) -> Iterator[Finding]:
        """What `of_message` finds, without the instant unless it was another one."""
        for finding in self.of_message(subject):
            yield replace(finding, at="") if finding.at == subject.at else finding

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """What it finds that is the same at every instant."""
        del subject
        return iter(())

    def of_print(self, subject: Subject) -> Iterator[Finding]:
        """What it finds in this print."""
        del subject
        return iter(())

    def proof(self, subject: Subject) -> tuple[str, ...] | None:
        """What must be known of all values for its verdict to hold for all of them.

        Names of extremes that must be exact, `FAULTS` and `LIVES`; nothing for what reads the
        message itself; None for what can only look at prints.
        """
        looks = self.samples or type(self).of_print is not Rule.of_print
        return None if looks or (self.reads_words and words_vary(subject)) else ()

    def finding(
        self,
        subject: Subject,
        message: str,
        span: Span | None,
        remedy: str,
        *,
        strokes: tuple[int, int] | None = None,
        measured: float | None = None,
        limit: float | None = None,
        unit: str = "",
    ) -> Finding:
        """A finding of this rule."""
        return Finding(
            self.id, self.severity, message, span, remedy,
            strokes, measured, limit, unit, subject.at,
        )  # fmt: skip
