"""Does the code stand where it must, and its drops far enough apart?"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from rasterc.checks.model import EXAMPLE_PROFILE, FAULTS, Example, Finding, Rule, Subject
from rasterc.checks.pace import stroke_pitch_mm, timings
from rasterc.diagnostics import Severity
from rasterc.layout.model import PlacedLine
from rasterc.source.message import Block, Line

_TWO_LINES = """
message example {{
  raster {raster}
  font upright-7
  block {{ line: "KEEP COOL"  line: "THIS WAY UP" }}
}}
"""


class RasterOverflow(Rule):
    """Lines that overlap or reach above the raster, fonts and pictures that do not fit."""

    id = "raster-overflow"
    title = "The message does not fit its raster"
    can_be_silenced = False
    rationale = (
        "A raster throws a fixed number of rows. Lines that share rows would print over each "
        "other, and rows above the raster cannot be thrown at all."
    )
    source = "geometry"
    trips = Example(_TWO_LINES.format(raster=9))
    passes = Example(_TWO_LINES.format(raster=16))

    def proof(self, subject: Subject) -> tuple[str, ...] | None:
        """Known of all values by their extremes."""
        del subject
        return (FAULTS,)

    def of_print(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for everything else the layout could not place."""
        for fault in subject.faults:
            if fault.code != "missing-glyph":
                yield self.finding(subject, fault.message, fault.span, fault.help)


class LineGap(Rule):
    """Empty rows between stacked lines."""

    id = "line-gap"
    title = "Stacked lines touch"
    severity = Severity.WARNING
    rationale = "Without an empty row between them the characters of two lines run into each other."
    source = "common practice, no source"
    trips = Example(_TWO_LINES.format(raster=14))
    passes = Example(_TWO_LINES.format(raster=16))

    def proof(self, subject: Subject) -> tuple[str, ...] | None:
        """Known of all values by their extremes."""
        del subject
        return (FAULTS,)

    def of_print(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every two lines with no row between their cells."""
        lines = subject.layout.lines if subject.layout else ()
        for upper, lower in pairwise(lines):
            if _block(upper) == _block(lower) is not None and upper.bottom == lower.top:
                yield self.finding(
                    subject,
                    f"no empty row between this line (rows {lower.bottom} to {lower.top - 1}) "
                    f"and the one above it (rows {upper.bottom} to {upper.top - 1})",
                    lower.source.span,
                    "use a smaller font for one of them, or a raster one drop higher",
                    measured=0,
                    limit=1,
                    unit="rows",
                )


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


class DotSpacing(Rule):
    """Space between drops against the width of a drop."""

    id = "dot-spacing"
    title = "Drops stand too far apart"
    severity = Severity.WARNING
    needs_profile = True
    rationale = (
        "Characters read best when a dot is at least as wide as the space between dots; farther "
        "apart the eye sees dots, not strokes."
    )
    source = "report ADA060823 (1978) on dot-matrix legibility, abstract"
    trips = Example(
        profile=EXAMPLE_PROFILE.replace("dot_diameter_mm = 0.4", "dot_diameter_mm = 0.15")
    )
    passes = Example()

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for rows, and one for strokes at the worst speed, that are too wide."""
        if subject.profile is None:
            return
        dot = subject.profile.product.dot_diameter_mm
        pitches = {"rows": subject.profile.head.row_pitch_mm}
        if strokes := stroke_pitch_mm(subject):
            pitches["strokes"] = strokes
        for what, pitch in pitches.items():
            if pitch - dot > dot + 1e-9:
                yield self.finding(
                    subject,
                    f"{what} stand {pitch:.2f} mm apart, which leaves {pitch - dot:.2f} mm "
                    f"between drops of {dot:g} mm",
                    subject.message.raster_span,
                    f"bring {what} to {2 * dot:.2f} mm or less",
                    measured=pitch - dot,
                    limit=dot,
                    unit="mm",
                )


class GapsClose(Rule):
    """Width of a drop against the gap that one missing drop leaves."""

    id = "gaps-close"
    title = "Drops are so wide that the gaps in characters close"
    severity = Severity.WARNING
    needs_profile = True
    rationale = (
        "The openings of a character are often one drop wide. Between two drops with one left out "
        "the clear width is twice the pitch less the width of a drop; at nothing, e and o fill up "
        "and 8 looks like 0."
    )
    source = "geometry: clear width = 2 x pitch - drop"
    trips = Example(profile=EXAMPLE_PROFILE.replace("dot_diameter_mm = 0.4", "dot_diameter_mm = 1"))
    passes = Example()

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for rows and for strokes that leave no gap."""
        if subject.profile is None:
            return
        dot = subject.profile.product.dot_diameter_mm
        pitches = {
            "rows": subject.profile.head.row_pitch_mm,
            "strokes": subject.profile.line.stroke_pitch_mm,
        }
        for what, pitch in pitches.items():
            clear = 2 * pitch - dot
            if clear <= 1e-9:
                yield self.finding(
                    subject,
                    f"{what} stand {pitch:.2f} mm apart: drops of {dot:g} mm close the gap that "
                    "one missing drop leaves",
                    subject.message.raster_span,
                    f"bring {what} to more than {dot / 2:.2f} mm ({dot:g} mm shows them apart), or "
                    "make smaller drops",
                    measured=clear,
                    limit=0,
                    unit="mm",
                )


def _fonts(block: Block) -> Iterator[str]:
    lines = block.content if isinstance(block.content, tuple) else ()
    return (line.font for line in lines if isinstance(line, Line))


def _block(line: PlacedLine) -> int | None:
    return line.boxes[0].block if line.boxes else None
