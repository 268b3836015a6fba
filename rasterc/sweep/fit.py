"""Fitting a head to what a bench has measured, with intervals.

What is fitted: how strongly electrode and drop couple, the field between the plates, the strength
of the wakes and the speed of the jet, each only where the readings can tell it: drops alone tell
coupling times field, only the repulsion of pairs tells them apart. The place of breakup gives the
modulation by Weber's formula. The method is least squares weighted by the readings' own deviations
(scipy, Levenberg and Marquardt's within bounds); intervals are of 95 %, from the slopes at the best
fit (Bates and Watts, Nonlinear Regression Analysis, 1988; from memory).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import exp

import numpy as np

from rasterc.diagnostics import InputError
from rasterc.head.arrays import Floats
from rasterc.head.charging import charges_from_volts
from rasterc.head.flight import fly
from rasterc.head.jet import JetModel
from rasterc.head.model import HeadModel, head_model
from rasterc.head.nozzle import drop_slowing_m_s
from rasterc.head.wake import USUAL_WAKE
from rasterc.profile.flight import Measurement, Reading
from rasterc.profile.model import LineProfile
from rasterc.sweep.extras import needed

COUPLING, FIELD, WAKE, SPEED, MODULATION = "coupling", "field", "wake", "jet speed", "modulation"
BOUNDS = {COUPLING: (0.3, 3.0), FIELD: (0.3, 3.0), WAKE: (0.0, 1.5), SPEED: (0.7, 1.4)}
SLOTS_AFTER = 6  # slots at 0 V flown behind the last charged one: they carry induced charges
LIKELY = 0.01  # chance of so bad a fit, were the model right, below which it is called wrong
ASTRAY_MM = 1e3
CONFIDENCE = 0.95
LOOSE = 1e7  # condition of the slopes from which the readings cannot tell the unknowns apart
STEP = 1e-3  # relative, of the slopes: landings have no noise of that size


@dataclass(frozen=True, slots=True)
class Fitted:
    """A value with its interval, and what the profile says."""

    name: str
    unit: str
    profile: float | None
    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Residual:
    """A reading, what the fitted model makes of it, and their distance in deviations."""

    reading: Measurement
    model: float
    deviations: float


@dataclass(frozen=True, slots=True)
class FitResult:
    """What a fit comes to.

    Attributes:
        values: what was fitted.
        kept: names of what the readings cannot tell, kept as the profile has it.
        residuals: for every reading, in the order given.
        freedom: readings less unknowns.
        likely: chance of so bad a fit, were the model right; None without freedom.
    """

    values: tuple[Fitted, ...]
    kept: tuple[str, ...]
    residuals: tuple[Residual, ...]
    freedom: int
    likely: float | None

    @property
    def seen_mm(self) -> float | None:
        """The mean place of breakup as read, None for none."""
        seen = [one.model for one in self.residuals if one.reading.what is Reading.BREAKUP]
        return seen[0] if seen else None

    @property
    def explains(self) -> bool | None:
        """Whether the model can explain the readings; None when they are too few to say."""
        return None if self.likely is None else self.likely >= LIKELY


def fit_head(profile: LineProfile, readings: Sequence[Measurement]) -> FitResult:
    """Fit a profile's head to readings at its own throw.

    Raises:
        InputError: scipy is missing, no flight, or nothing that a fit could use.
    """
    bench = _Bench(profile, readings)
    names = bench.unknowns()
    if not names and not bench.of(Reading.BREAKUP):
        said = "no reading tells anything that is fitted"
        raise InputError.one("nothing-to-fit", said, help="measure drops alone and pairs")
    solved = _solve(bench, names)
    bench_jet = _Breakup(profile, bench.of(Reading.BREAKUP), solved)
    residuals = [*bench.residuals(solved.values), *bench_jet.residuals()]
    freedom = len(residuals) - len(solved.names) - len(bench_jet.fitted())
    likely = None
    if freedom > 0:
        chi2 = sum(one.deviations**2 for one in residuals)
        likely = float(needed("scipy.stats", "fit", "a fit").chi2.sf(chi2, freedom))
    kept = tuple(name for name in BOUNDS if name not in solved.names)
    values = tuple(bench.fitted(name, solved) for name in solved.names)
    return FitResult(values + bench_jet.fitted(), kept, tuple(residuals), max(freedom, 0), likely)


@dataclass(frozen=True, slots=True)
class _Solved:
    """The best values, and their standard deviations, by name."""

    names: tuple[str, ...]
    values: Mapping[str, float]
    sigmas: Mapping[str, float]


class _Bench:
    """The readings that are flown, and the head as the unknowns make it."""

    def __init__(self, profile: LineProfile, readings: Sequence[Measurement]) -> None:
        self.profile, self.readings, self.head = profile, list(readings), head_model(profile)
        self.ink = JetModel(profile).state()
        kinds = (Reading.SINGLE, Reading.PAIR_FIRST, Reading.PAIR_SECOND)
        self.landings = [one for one in self.readings if one.what in kinds]
        self.speeds = self.of(Reading.SPEED)
        shots = [(m.volts or 0.0, m.second_volts or 0.0, m.slots or 0) for m in self.landings]
        self.shots = list(dict.fromkeys(shots))
        self.shot_of = [self.shots.index(shot) for shot in shots]
        self.slot_of = [m.slots or 0 if m.what is Reading.PAIR_SECOND else 0 for m in self.landings]
        longest = max((slots for _, _, slots in self.shots), default=0)
        self.volts = np.zeros((len(self.shots), longest + 1 + SLOTS_AFTER))
        for row, (first, second, slots) in zip(self.volts, self.shots, strict=True):
            row[0] = first
            if slots:
                row[slots] = second

    def of(self, what: Reading) -> list[Measurement]:
        """The readings of one kind."""
        return [one for one in self.readings if one.what is what]

    def unknowns(self) -> tuple[str, ...]:
        """What the kinds of readings can tell at all."""
        names = [COUPLING] if self.landings else []
        if any(m.slots for m in self.landings):
            names += [FIELD, WAKE]
        return tuple([*names, SPEED] if self.speeds else names)

    def usual(self, name: str) -> float:
        """The profile's value: factors on it are 1."""
        return USUAL_WAKE if name == WAKE else 1.0

    def predicted(self, values: Mapping[str, float]) -> Floats:
        """What each landing (mm), then each speed reading (m/s) would be."""
        faster = values.get(SPEED, 1.0)
        speed = self.head.jet_speed_m_s * faster
        slower = drop_slowing_m_s(
            speed, self.ink.diameter_m, self.ink.ink.density_kg_m3,
            self.ink.ink.surface_tension_n_m,
        )  # fmt: skip
        speeds = np.full(len(self.speeds), speed - slower)
        if not self.landings:
            return speeds
        head = self._head(values, faster)
        charges = charges_from_volts(self.volts, head.charge_per_volt_c, head.induction)
        flown = fly(head, charges, wake=values.get(WAKE, USUAL_WAKE)).y_m * 1e3
        landed = np.nan_to_num(flown[self.shot_of, self.slot_of], nan=ASTRAY_MM)
        return np.concatenate((np.clip(landed, -ASTRAY_MM, ASTRAY_MM), speeds))

    def _head(self, values: Mapping[str, float], faster: float) -> HeadModel:
        """The head with its unknowns; a faster jet makes longer, heavier drops."""
        head = self.head
        return replace(
            head,
            jet_speed_m_s=head.jet_speed_m_s * faster,
            drop_mass_kg=head.drop_mass_kg * faster,
            drop_diameter_m=head.drop_diameter_m * faster ** (1 / 3),
            charge_per_volt_c=head.charge_per_volt_c * faster * values.get(COUPLING, 1.0),
            field_v_m=head.field_v_m * values.get(FIELD, 1.0),
        )

    @property
    def flown(self) -> list[Measurement]:
        """The readings that `predicted` tells, in its order."""
        return [*self.landings, *self.speeds]

    def misses(self, names: Sequence[str], x: Floats) -> Floats:
        """How far each reading is from the model, in its deviations."""
        predicted = self.predicted(dict(zip(names, map(float, x), strict=True)))
        read = np.array([one.value for one in self.flown])
        sigma = np.array([one.sigma for one in self.flown])
        misses: Floats = (predicted - read) / sigma
        return misses

    def residuals(self, values: Mapping[str, float]) -> list[Residual]:
        """Every flown reading beside the model."""
        predicted = self.predicted(values)
        return [
            Residual(one, float(model), float((model - one.value) / one.sigma))
            for one, model in zip(self.flown, predicted, strict=True)
        ]

    def fitted(self, name: str, solved: _Solved) -> Fitted:
        """A solved unknown in the units of a profile."""
        flight = self.profile.flight
        assert flight is not None
        unit, scale = {
            COUPLING: ("capacitance_factor", flight.electrode.capacitance_factor),
            FIELD: ("MV/m", flight.plates.field_mv_m),
            WAKE: ("of the law", 1.0),
            SPEED: ("m/s", flight.jet.jet_speed_m_s),
        }[name]
        value, half = solved.values[name], solved.sigmas[name] * _quantile()
        low, high = max(value - half, 0.0), value + half
        told = self.usual(name) * scale
        return Fitted(name, unit, told, value * scale, low * scale, high * scale)


def _quantile() -> float:
    """Half-width of an interval in standard deviations, which the readings bring with them."""
    stats = needed("scipy.stats", "fit", "a fit")
    return float(stats.norm.ppf((1 + CONFIDENCE) / 2))


def _solve(bench: _Bench, names: Sequence[str]) -> _Solved:
    """Least squares in the unknowns; those the readings cannot tell apart are left as they are."""
    optimize = needed("scipy.optimize", "fit", "a fit")
    names = list(names)
    while names:
        start = np.array([bench.usual(name) for name in names])
        low, high = np.array([BOUNDS[name] for name in names]).T
        best = optimize.least_squares(
            lambda x, names=tuple(names): bench.misses(names, x),
            start, bounds=(low, high), diff_step=STEP, x_scale="jac", xtol=1e-8, ftol=1e-8,
        )  # fmt: skip
        if len(bench.flown) >= len(names) and _apart(best.jac):
            break
        names.remove(next(name for name in (WAKE, FIELD, SPEED, COUPLING) if name in names))
    else:
        return _Solved((), {}, {})
    sigmas = np.sqrt(np.diag(np.linalg.inv(best.jac.T @ best.jac)))
    return _Solved(
        tuple(names),
        dict(zip(names, map(float, best.x), strict=True)),
        dict(zip(names, map(float, sigmas), strict=True)),
    )


def _apart(slopes: Floats) -> bool:
    """Whether slopes (readings, unknowns) tell each unknown from the others."""
    lengths = np.linalg.norm(slopes, axis=0)
    return lengths.min() > 0 and bool(np.linalg.cond(slopes / lengths) < LOOSE)


class _Breakup:
    """The place of breakup: a weighted mean, and the modulation that follows from it."""

    def __init__(
        self, profile: LineProfile, readings: Sequence[Measurement], solved: _Solved
    ) -> None:
        self.profile, self.readings = profile, readings
        weights = np.array([one.sigma**-2 for one in readings])
        self.mean = 0.0
        if len(weights):
            self.mean = float(weights @ [one.value for one in readings] / weights.sum())
            self.sigma = float(weights.sum() ** -0.5)
        state = JetModel(profile).state()
        self.growth_per_mm = state.growth_per_s / (state.speed_m_s * solved.values.get(SPEED, 1.0))
        self.growth_per_mm *= 1e-3

    def fitted(self) -> tuple[Fitted, ...]:
        """The modulation: exp(-growth x length / speed), by Weber."""
        if not self.readings:
            return ()
        flight = self.profile.flight
        half = self.sigma * _quantile()
        told = None if flight is None else flight.jet.modulation
        parts = (exp(-self.growth_per_mm * (self.mean + off)) for off in (0, half, -half))
        return (Fitted(MODULATION, "of the radius", told, *parts),)

    def residuals(self) -> list[Residual]:
        """Each reading beside their mean."""
        return [
            Residual(one, self.mean, (self.mean - one.value) / one.sigma) for one in self.readings
        ]
