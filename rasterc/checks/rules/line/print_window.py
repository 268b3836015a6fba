"""Length on the product against the print window."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import EXAMPLE_PROFILE, Example, Finding, Rule, Subject
from rasterc.checks.pace import timings


class PrintWindow(Rule):
    """Length on the product against the print window."""

    id = "print-window"
    title = "The code is longer than its window"
    needs_profile = True
    rationale = (
        "What runs past the window lands on a seam, a cap or the next product, and is lost. The "
        "length is taken from edge to edge of the outer drops, at the pitch that is really printed."
    )
    source = "geometry"
    trips = Example(profile=EXAMPLE_PROFILE.replace("window_mm = 70", "window_mm = 12"))
    passes = Example()

    def proof(self, subject: Subject) -> tuple[str, ...] | None:
        """Known of all values by their extremes."""
        del subject
        return ("longest",)

    def of_print(self, subject: Subject) -> Iterator[Finding]:
        """Yield one finding, for the speed at which the code is longest."""
        window = subject.profile.line.print_window_mm if subject.profile else None
        worst = max(timings(subject), key=lambda t: t.length_mm, default=None)
        if window is None or worst is None or worst.length_mm <= window:
            return
        assert subject.layout is not None and subject.profile is not None
        dot = subject.profile.product.dot_diameter_mm
        fits = max(0, int((window - dot) / worst.stroke_pitch_mm + 1e-9) + 1)
        length = subject.layout.length
        yield self.finding(
            subject,
            f"the code is {worst.length_mm:.1f} mm long at {worst.speed_m_s:g} m/s; "
            f"the window is {window:g} mm",
            subject.message.span,
            f"cut {length - fits} of its {length} strokes ({fits} fit), or bring the stroke pitch "
            f"from {worst.stroke_pitch_mm:.3f} to {(window - dot) / max(1, length - 1):.3f} mm",
            strokes=(fits, length),
            measured=worst.length_mm,
            limit=window,
            unit="mm",
        )
