"""What a rule is, what it looks at and what it finds."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import ClassVar

from rasterc.diagnostics import Diagnostic, Severity, Span
from rasterc.fonts.model import Font
from rasterc.layout.model import Layout
from rasterc.profile.model import LineProfile, RasterTiming
from rasterc.source.message import Line, Message
from rasterc.values import Plan
from rasterc.values.model import ResolvedMessage


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing a rule found.

    Attributes:
        rule: id of the rule.
        severity: errors and warnings make `check` exit with 1, notes do not.
        message: what was found, with its numbers.
        span: the place in the message source.
        remedy: what would put it right, with numbers where there are any.
        strokes: the strokes concerned, first (included) to end (excluded).
        measured, limit, unit: the value found and the value it is held against.
        at: the instant it was found at, as text.
    """

    rule: str
    severity: Severity
    message: str
    span: Span | None
    remedy: str
    strokes: tuple[int, int] | None = None
    measured: float | None = None
    limit: float | None = None
    unit: str = ""
    at: str = ""

    def render(self) -> str:
        """The finding for a terminal."""
        text = self.message + (f" (at {self.at})" if self.at else "")
        return Diagnostic(self.rule, text, self.span, self.remedy, self.severity).render()

    def as_dict(self) -> dict[str, object]:
        """The finding as plain JSON values."""
        out = Diagnostic(self.rule, self.message, self.span, "", self.severity).as_dict()
        out["rule"] = out.pop("code")
        del out["help"]
        return out | {
            "remedy": self.remedy,
            "strokes": list(self.strokes) if self.strokes else None,
            "measured": self.measured,
            "limit": self.limit,
            "unit": self.unit,
            "at": self.at or None,
        }


@dataclass(frozen=True, slots=True)
class Subject:
    """What the rules look at: a message at one instant, on one line.

    ``layout`` is None when the message could not be laid out; ``faults`` then says why.
    """

    plan: Plan
    resolved: ResolvedMessage
    fonts: Mapping[str, Font]
    layout: Layout | None
    faults: tuple[Diagnostic, ...] = ()
    profile: LineProfile | None = None

    @property
    def message(self) -> Message:
        """The message."""
        return self.resolved.message

    @property
    def at(self) -> str:
        """The instant as text, "" for a message that reads no clock."""
        when = self.resolved.instant.when
        return when.isoformat(" ", "minutes") if when and self.message.clocks else ""

    @property
    def raster(self) -> RasterTiming | None:
        """How the profile throws the message's raster, None if it does not or there is none."""
        return self.profile.raster(self.message.raster) if self.profile else None

    @property
    def printed_lines(self) -> tuple[tuple[Line, Font, str], ...]:
        """Every line that prints something, with its font and text."""
        texts = zip(self.message.lines, self.resolved.lines, strict=True)
        return tuple(
            (line, self.fonts[line.font], text)
            for line, text in texts
            if text.strip() and line.font in self.fonts
        )


EXAMPLE_PROFILE = """
name = "example line"
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
[line]
speeds_m_s = [1.2]
stroke_pitch_mm = 0.35
product_pitch_mm = 90
print_window_mm = 60
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
}
"""


@dataclass(frozen=True, slots=True)
class Example:
    """A message, a profile and an instant that show a rule at work."""

    message: str = EXAMPLE_MESSAGE
    profile: str = EXAMPLE_PROFILE
    at: str = "2027-11-25 14:05"


class Rule(ABC):
    """A rule. Subclass it in a module of `rasterc.checks.rules`; nothing else needs editing.

    ``trips`` must make the rule find something, ``passes`` (its repaired twin) must not: a test
    runs both, and `explain` shows them.
    """

    id: ClassVar[str]
    title: ClassVar[str]
    severity: ClassVar[Severity] = Severity.ERROR
    rationale: ClassVar[str]
    source: ClassVar[str]
    trips: ClassVar[Example]
    passes: ClassVar[Example]

    @abstractmethod
    def check(self, subject: Subject) -> Iterator[Finding]:
        """Everything this rule finds in the subject."""

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
