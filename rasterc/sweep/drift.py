"""What a drifting jet does to a code: seeded Monte Carlo."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rasterc.diagnostics import InputError
from rasterc.head.arrays import Floats
from rasterc.sweep.model import Case, Charges, Figures, JetChange, Job

MAX_SAMPLES = 10_000
WITHIN_SIGMAS = 3.0


@dataclass(frozen=True, slots=True)
class Spread:
    """Standard deviations of jet speed, drop mass and ink viscosity, as parts of their values.

    Drop mass follows jet speed anyway; its own deviation, by the width of the jet, comes on top.

    The defaults are assumptions: no source tells how far a given head drifts.
    """

    speed: float = 0.01
    mass: float = 0.02
    viscosity: float = 0.1


def drift_cases(job: Job, samples: int, seed: int, spread: Spread | None = None) -> list[Case]:
    """Cases at the usual speed and throw with jets drawn at random; charges stay as they are.

    Where the profile tells the encoder's steps, each code begins anywhere in one of them; where it
    tells the trigger's jitter, as late or early as that makes it. All drift independently, normally
    distributed, cut off at three standard deviations. Sample k depends on ``seed`` and k only.

    Raises:
        InputError: no samples, or too many.
    """
    if not 1 <= samples <= MAX_SAMPLES:
        said = f"{samples} jets cannot be drawn"
        raise InputError.one("bad-count", said, help=f"give a number from 1 to {MAX_SAMPLES}")
    spread = spread or Spread()
    scales = np.array([spread.speed, spread.mass, spread.viscosity])
    return [_drawn(job, np.random.default_rng([seed, k]), scales) for k in range(samples)]


def _drawn(job: Job, generator: np.random.Generator, scales: Floats) -> Case:
    line = job.profile.line
    jet = JetChange(*map(float, 1 + scales * _normal(generator, len(scales))))
    phase, late = float(generator.uniform()), float(_normal(generator, 1)[0])
    return Case(
        job.speed_m_s,
        job.throw_mm,
        Charges.FIXED,
        jet=jet,
        encoder_phase=phase if line.encoder_step_mm else 0.0,
        trigger_us=None if line.trigger_jitter_us is None else late * line.trigger_jitter_us,
    )


def _normal(generator: np.random.Generator, count: int) -> Floats:
    drawn: Floats = np.clip(generator.standard_normal(count), -WITHIN_SIGMAS, WITHIN_SIGMAS)
    return drawn


@dataclass(frozen=True, slots=True)
class Range:
    """Least, middle and largest of a figure, and the bounds of its middle 90 %."""

    least: float
    low: float
    middle: float
    high: float
    largest: float


def range_of(figures: Sequence[Figures], name: str) -> Range | None:
    """The range of one figure over all flights that have it; None if none has."""
    values = [value for f in figures if (value := getattr(f, name)) is not None]
    if not values:
        return None
    return Range(*map(float, np.quantile(values, (0, 0.05, 0.5, 0.95, 1))))
