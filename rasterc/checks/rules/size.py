"""Is the code where it must be and large enough?"""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil

from rasterc.checks.model import EXAMPLE_PROFILE, Example, Finding, Rule, Subject
from rasterc.diagnostics import Severity
from rasterc.head.timing import SpeedTiming, height_mm, timing


def _timings(subject: Subject) -> Iterator[SpeedTiming]:
    if subject.profile and subject.raster and subject.layout:
        for speed in subject.profile.line.speeds_m_s:
            yield timing(subject.profile, subject.raster, subject.layout.length, speed)


class PrintWindow(Rule):
    """Length on the product against the print window."""

    id = "print-window"
    title = "The code is longer than its window"
    rationale = (
        "What runs past the window lands on a seam, a cap or the next product, and is lost. The "
        "length is taken from edge to edge of the outer drops, at the pitch that is really printed."
    )
    source = "geometry"
    trips = Example(profile=EXAMPLE_PROFILE.replace("window_mm = 60", "window_mm = 12"))
    passes = Example()

    def check(self, subject: Subject) -> Iterator[Finding]:
        """Yield one finding, for the speed at which the code is longest."""
        window = subject.profile.line.print_window_mm if subject.profile else None
        worst = max(_timings(subject), key=lambda t: t.length_mm, default=None)
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


class ProductPitch(Rule):
    """Message time against the time between products."""

    id = "product-pitch"
    title = "The code is not finished when the next product comes"
    rationale = (
        "The head prints one code at a time. A code that lasts longer than the time from one "
        "product to the next makes the head miss products."
    )
    source = "kinematics: message time <= product pitch / line speed"
    trips = Example(profile=EXAMPLE_PROFILE.replace("pitch_mm = 90", "pitch_mm = 15"))
    passes = Example()

    def check(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every speed at which products come too soon."""
        for at_speed in _timings(subject):
            if at_speed.product_ms is None or at_speed.message_ms <= at_speed.product_ms:
                continue
            assert subject.layout is not None
            travel = subject.layout.length * at_speed.stroke_pitch_mm
            yield self.finding(
                subject,
                f"at {at_speed.speed_m_s:g} m/s the code takes {at_speed.message_ms:.1f} ms; "
                f"the next product comes after {at_speed.product_ms:.1f} ms",
                subject.message.span,
                f"space the products {ceil(travel)} mm apart, or shorten the code",
                measured=at_speed.message_ms,
                limit=at_speed.product_ms,
                unit="ms",
            )


class CharacterHeight(Rule):
    """Height of capitals and digits against the profile's minimum."""

    id = "character-height"
    title = "Characters are smaller than the product asks for"
    rationale = (
        "The height is that of capitals and digits at the profile's row pitch, the drop included. "
        "A shorter throw or a smaller font makes characters smaller."
    )
    source = "the limit is the profile's own, min_character_height_mm"
    trips = Example(profile=EXAMPLE_PROFILE.replace("height_mm = 1.2", "height_mm = 3"))
    passes = Example()

    def check(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every line whose capitals are too small."""
        profile = subject.profile
        limit = profile.product.min_character_height_mm if profile else None
        if profile is None or limit is None:
            return
        dot, pitch = profile.product.dot_diameter_mm, profile.head.row_pitch_mm
        for line, font, _ in subject.printed_lines:
            rows = font.cell_width() if line.tower else font.rows_of("H0")
            height = height_mm(rows, pitch, dot)
            if height + 1e-9 < limit:
                needed = ceil((limit - dot) / pitch - 1e-9) + 1
                yield self.finding(
                    subject,
                    f"characters of {font.name} are {height:.2f} mm high; "
                    f"{limit:g} mm are asked for",
                    line.font_span,
                    f"use a font of at least {needed} drops, or a row pitch of "
                    f"{(limit - dot) / max(1, rows - 1):.3f} mm",
                    measured=height,
                    limit=limit,
                    unit="mm",
                )


class DotSpacing(Rule):
    """Space between drops against the width of a drop."""

    id = "dot-spacing"
    title = "Drops stand too far apart"
    severity = Severity.WARNING
    rationale = (
        "Characters read best when a dot is at least as wide as the space between dots; farther "
        "apart the eye sees dots, not strokes."
    )
    source = "report ADA060823 (1978) on dot-matrix legibility, abstract"
    trips = Example(
        profile=EXAMPLE_PROFILE.replace("dot_diameter_mm = 0.4", "dot_diameter_mm = 0.15")
    )
    passes = Example()

    def check(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for rows, and one for strokes at the worst speed, that are too wide."""
        if subject.profile is None:
            return
        dot = subject.profile.product.dot_diameter_mm
        pitches = {"rows": subject.profile.head.row_pitch_mm}
        if strokes := max((t.stroke_pitch_mm for t in _timings(subject)), default=None):
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
