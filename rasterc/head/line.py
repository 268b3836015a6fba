"""What the line itself does to a code: speeding up, encoder steps, a trigger that jitters.

Kinematics only: the drops of a stroke are thrown when the product is at a place, and land a flight
later, when it has moved on.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite

from rasterc.profile.model import LineProfile

TRIGGER_SIGMAS = 3.0  # between which nearly all codes start: 99.7 % of a normal distribution


def stretch(acceleration_m_s2: float, flight_s: float, speed_m_s: float) -> float:
    """Part by which strokes are further apart while the line speeds up: a T / v.

    A stroke lands v T beyond the place it was thrown at, and v grows by a dt between two strokes.
    Negative while the line slows down. Valid while the speed changes little within a flight.

    >>> round(stretch(2.0, 2.7e-3, 0.5), 4)
    0.0108
    """
    return acceleration_m_s2 * flight_s / speed_m_s


def step_error_mm(stroke_pitch_mm: float, encoder_step_mm: float) -> float:
    """Most by which a stroke is late when it waits for the next step of the encoder.

    None where the pitch is a whole number of steps; else anything up to the step less the largest
    length that divides pitch and step both, taken here as the whole step.

    >>> step_error_mm(0.33, 0.11), step_error_mm(0.33, 0.05)
    (0.0, 0.05)
    """
    steps = stroke_pitch_mm / encoder_step_mm
    return 0.0 if abs(steps - round(steps)) < 1e-6 else encoder_step_mm


@dataclass(frozen=True, slots=True)
class LineEffect:
    """What the line does at one speed; None where the profile tells nothing.

    Attributes:
        speed_m_s: of the line.
        longer: part by which the code grows while the line speeds up as fast as it does.
        step_mm: most by which a stroke comes late for the encoder's steps.
        step_pitches: the same in stroke pitches.
        start_mm: half-width of the range in which codes start, by the trigger.
    """

    speed_m_s: float
    longer: float | None
    step_mm: float | None
    step_pitches: float | None
    start_mm: float | None

    def in_words(self) -> str:
        """What is told, "" for nothing."""
        said = []
        if self.longer is not None:
            said.append(f"{self.longer * 100:.2f} % longer while it speeds up")
        if self.step_mm is not None and self.step_pitches is not None:
            said.append(
                f"strokes up to {self.step_mm:.3f} mm ({self.step_pitches:.2f} pitches) late for "
                "encoder steps"
            )
        if self.start_mm is not None:
            said.append(f"starts within {self.start_mm:.2f} mm either way by the trigger")
        return ", ".join(said)


def line_effect(profile: LineProfile, speed_m_s: float, flight_s: float) -> LineEffect:
    """The line's effects on a code at a speed, with drops that fly so long."""
    line = profile.line
    step = None
    if line.encoder_step_mm is not None:
        step = step_error_mm(line.stroke_pitch_mm, line.encoder_step_mm)
    jitter = line.trigger_jitter_us
    return LineEffect(
        speed_m_s=speed_m_s,
        longer=(
            None
            if line.acceleration_m_s2 is None
            else stretch(line.acceleration_m_s2, flight_s, speed_m_s)
        ),
        step_mm=step,
        step_pitches=None if step is None else step / line.stroke_pitch_mm,
        start_mm=None if jitter is None else TRIGGER_SIGMAS * jitter * 1e-3 * speed_m_s,
    )


def line_effects(profile: LineProfile, speeds_m_s: Sequence[float]) -> list[LineEffect]:
    """The line's effects at each speed, with the flight of a drop alone: the longest there is.

    Nothing for drops that the air stops; raises `InputError` like `head_model`.
    """
    from rasterc.head.model import head_model
    from rasterc.head.passage import lone_flight

    head = head_model(profile)
    _, flight_s = lone_flight(head, head.jet_speed_m_s, head.product_m)
    return [line_effect(profile, speed, flight_s) for speed in speeds_m_s if isfinite(flight_s)]
