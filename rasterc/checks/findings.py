"""What a rule finds."""

from __future__ import annotations

from dataclasses import dataclass

from rasterc.diagnostics import Diagnostic, Severity, Span, visible


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
        times: at how many of the instants looked at it was found.
        since: of several instants the first, ``at`` being the worst of them.
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
    times: int = 1
    since: str = ""

    def __repr__(self) -> str:
        """Its first line."""
        return f"<Finding {visible(self.lines()[0])}>"

    def __str__(self) -> str:
        """As a terminal shows it."""
        return self.render()

    def lines(self) -> list[str]:
        """The finding in lines, like those of a diagnostic."""
        more = f", and {self.times - 1} more of the instants" if self.times > 1 else ""
        return self._saying(self.message + (f" (at {self.at}{more})" if self.at else "")).lines()

    def render(self) -> str:
        """The finding for a terminal."""
        return "\n".join(map(visible, self.lines()))

    def as_dict(self) -> dict[str, object]:
        """The finding as plain JSON values: those of a diagnostic and its own."""
        return self._saying(self.message).as_dict() | {
            "at": self.at or None,
            "times": self.times,
            "strokes": list(self.strokes) if self.strokes else None,
            "measured": self.measured,
            "limit": self.limit,
            "unit": self.unit,
        }

    def _saying(self, text: str) -> Diagnostic:
        return Diagnostic(self.rule, text, self.span, self.remedy, self.severity)
