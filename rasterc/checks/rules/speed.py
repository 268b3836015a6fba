"""Can the head throw the code as fast as the line asks?"""

from __future__ import annotations

from collections.abc import Iterator
from math import atan2, ceil, degrees, radians, tan

from rasterc.checks.model import (
    EXAMPLE_PROFILE,
    Example,
    Finding,
    Rule,
    Subject,
    example_profile,
)
from rasterc.checks.pace import MINUTES_PER_DAY, products_per_minute, timings
from rasterc.diagnostics import Severity
from rasterc.head.timing import height_mm, max_speed_m_s, rasters_that_keep_up, tilt, timing


def _drops(numbers: list[int]) -> str:
    return " or ".join(str(n) for n in numbers)


class RasterNotThrown(Rule):
    """The profile must say how the message's raster is thrown."""

    id = "raster-not-thrown"
    title = "The line profile has no raster of this height"
    needs_profile = True
    rationale = (
        "A head throws only the rasters it was set up for. Without the timing of the message's "
        "raster nothing can be said about its speed, its slant or its time."
    )
    source = "common practice, no source"
    trips = Example(profile=EXAMPLE_PROFILE.replace("drops = 7", "drops = 9"))
    passes = Example()

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding when a profile is given and lacks the raster."""
        if subject.profile is None or subject.raster is not None:
            return
        offered = sorted(r.drops for r in subject.profile.rasters)
        yield self.finding(
            subject,
            f"the message wants a raster of {subject.message.raster} drops, which the profile "
            f'"{subject.profile.name}" does not throw',
            subject.message.raster_span,
            f"use a raster of {_drops(offered)} drops, or add [[raster]] drops = "
            f"{subject.message.raster} to the profile",
        )


class StrokeRate(Rule):
    """Stroke rate at every line speed against what the raster allows."""

    id = "stroke-rate"
    title = "The line is faster than the raster allows"
    needs_profile = True
    rationale = (
        "A stroke takes a fixed number of drop periods: its drops, its guard drops and the gap "
        "after it. When the product moves one stroke pitch in less time than that, the head "
        "falls behind and the code is stretched."
    )
    source = "kinematics: line speed = stroke pitch x drop frequency / slots of a stroke"
    trips = Example(profile=EXAMPLE_PROFILE.replace("[1.2]", "[1.2, 2.5]"))
    passes = Example()

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every speed of the profile the head cannot follow."""
        profile, raster = subject.profile, subject.raster
        if profile is None or raster is None:
            return
        for speed in profile.line.speeds_m_s:
            at_speed = timing(profile, raster, 1, speed)
            if at_speed.keeps_up:
                continue
            fastest = max_speed_m_s(at_speed.rate_limit_hz, profile.line.stroke_pitch_mm)
            others = sorted(r.drops for r in rasters_that_keep_up(profile, speed))
            swap = (
                f", or use a raster of {_drops(others)} drops"
                if others
                else "; no raster of this profile is fast enough"
            )
            pitch = at_speed.stroke_pitch_mm
            yield self.finding(
                subject,
                f"at {speed:g} m/s the line asks for {at_speed.stroke_rate_hz:.0f} strokes/s; "
                f"raster {raster.drops} allows {at_speed.rate_limit_hz:.0f}",
                subject.message.raster_span,
                f"slow to {_floor(fastest):g} m/s{swap}, or widen the stroke pitch from "
                f"{profile.line.stroke_pitch_mm:g} to {pitch:.3f} mm",
                measured=at_speed.stroke_rate_hz,
                limit=at_speed.rate_limit_hz,
                unit="strokes/s",
            )


class Slant(Rule):
    """Lean of the strokes at every line speed."""

    id = "slant"
    title = "Characters lean too far"
    severity = Severity.WARNING
    needs_profile = True
    rationale = (
        "The drops of a stroke are thrown one after another while the product moves, so the "
        "stroke leans. Beyond about 20 degrees characters look like others (I like /)."
    )
    source = "limit of 20 degrees: common practice, no source"
    trips = Example(
        profile=EXAMPLE_PROFILE.replace("[1.2]", "[9]").replace(
            "pitch_mm = 0.35\np", "pitch_mm = 3\np"
        )
    )
    passes = Example()
    limit_degrees = 20.0

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every speed at which the strokes lean beyond the limit."""
        profile, raster = subject.profile, subject.raster
        if profile is None or raster is None:
            return
        rise = height_mm(raster.drops, profile.head.row_pitch_mm, 0)
        for speed in profile.line.speeds_m_s:
            lean = timing(profile, raster, 1, speed).slant_mm
            angle = degrees(atan2(abs(lean), rise))
            if angle > self.limit_degrees:
                slower = speed * self._lean_allowed(rise) / abs(lean)
                yield self.finding(
                    subject,
                    f"at {speed:g} m/s the strokes lean by {angle:.0f} degrees ({lean:+.2f} mm)",
                    subject.message.raster_span,
                    f"slow to {_floor(slower):g} m/s, use fewer guard drops{_tilted(lean, rise)}",
                    measured=angle,
                    limit=self.limit_degrees,
                    unit="degrees",
                )

    def _lean_allowed(self, rise_mm: float) -> float:
        return rise_mm * tan(radians(self.limit_degrees))


def _tilted(lean_mm: float, rise_mm: float) -> str:
    """The tilt that makes up for a lean, where there is one."""
    turned = tilt(abs(lean_mm) / rise_mm)
    if turned is None:
        return ""
    angle, lower = turned
    return f", or tilt the head by {angle:.0f} degrees: characters are {lower * 100:.0f} % lower"


class ProductPitch(Rule):
    """Message time against the time between products."""

    id = "product-pitch"
    title = "The code is not finished when the next product comes"
    needs_profile = True
    rationale = (
        "The head prints one code at a time. A code that lasts longer than the time from one "
        "product to the next makes the head miss products."
    )
    source = "kinematics: message time <= product pitch / line speed"
    trips = Example(profile=EXAMPLE_PROFILE.replace("pitch_mm = 90", "pitch_mm = 15"))
    passes = Example()

    def proof(self, subject: Subject) -> tuple[str, ...] | None:
        """Known of all values by their extremes."""
        del subject
        return ("longest",)

    def of_print(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every speed at which products come too soon."""
        for at_speed in timings(subject):
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


class ProductCount(Rule):
    """The profile's products per day against what its speed and product pitch allow."""

    id = "product-count"
    title = "The profile counts more products than its line can carry"
    severity = Severity.WARNING
    needs_profile = True
    rationale = (
        "Whether a counter lasts is worked out from the profile's products per day. A number that "
        "the line cannot reach shows that the speed, the product pitch or the number is wrong."
    )
    source = "kinematics: products per minute <= fastest speed / product pitch"
    trips = Example(profile=example_profile(product="products_per_day = 2_000_000"))
    passes = Example(profile=example_profile(product="products_per_day = 20_000"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding when the numbers contradict each other."""
        profile = subject.profile
        rate = products_per_minute(profile) if profile else None
        stated = profile.product.products_per_day if profile else None
        if profile is None or rate is None or stated is None or stated <= rate * MINUTES_PER_DAY:
            return
        yield self.finding(
            subject,
            f'"{profile.name}" says {stated} products a day; at {max(profile.line.speeds_m_s):g} '
            f"m/s, {profile.line.product_pitch_mm:g} mm apart, {rate * MINUTES_PER_DAY:.0f} pass",
            subject.message.span,
            f"state at most {rate * MINUTES_PER_DAY:.0f}, or correct speed and product pitch",
            measured=stated,
            limit=rate * MINUTES_PER_DAY,
            unit="products/day",
        )


def _floor(speed_m_s: float) -> float:
    """Rounded down, so that the remedy itself passes."""
    return int(speed_m_s * 100) / 100
