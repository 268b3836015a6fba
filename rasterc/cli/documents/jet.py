"""The document of `rasterc jet`. Null stands for what the profile does not tell."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta

from rasterc.cli.documents.common import DiagnosticPart, Document, Part


class JetPart(Part, frozen=True, kw_only=True):
    """The jet at a setting."""

    pressure_kpa: float
    viscosity_mpa_s: float
    surface_tension_n_m: float
    density_kg_m3: float
    jet_speed_m_s: float
    jet_um: float
    weber: float
    reynolds: float
    ohnesorge: float
    gas_weber: float
    wavelength_diameters: float
    best_wavelength_diameters: float
    growth_per_s: float
    modulation: float | None
    breakup_mm: float | None
    breakup_periods: float | None
    undriven_mm: float | None
    drop_diameter_um: float
    drop_mass_ng: float
    drop_speed_m_s: float


class WindowPart(Part, frozen=True, kw_only=True):
    """When drops may break off to be charged rightly; times in s."""

    period_s: float
    settle_s: Annotated[float, Meta(description="Of the amplifier.")]
    ink_s: Annotated[float | None, Meta(description="Time constant of the ink.")]
    open_s: Annotated[float, Meta(description="What is left of a drop period.")]


class DraughtPart(Part, frozen=True, kw_only=True):
    """How far the air that the product drags carries all drops along, at one line speed."""

    speed_m_s: float
    least_mm: float
    most_mm: float


class LandingPart(Part, frozen=True, kw_only=True):
    """A drop alone on the product; spreads in drop diameters."""

    speed_m_s: float
    flight_ms: Annotated[float, Meta(description="From breakup.")]
    weber: float
    reynolds: float
    least_spread: Annotated[float, Meta(description="Widest while it lands, by an energy balance.")]
    most_spread: Annotated[float, Meta(description="Widest while it lands, by a fit.")]
    cap: Annotated[float | None, Meta(description="At rest, by the contact angle.")]
    ratio: Annotated[float, Meta(description="What dots are taken for.")]
    dot_mm: Annotated[float, Meta(description="Diameter of a dot of that ratio.")]
    wetted: Annotated[bool | None, Meta(description="Whether the ink wets the material all over.")]
    weight_mm: Annotated[float, Meta(description="How far it falls in flight.")]
    draughts: list[DraughtPart]


class LinePart(Part, frozen=True, kw_only=True):
    """What the line itself does to codes at one speed; null: the profile tells nothing."""

    speed_m_s: float
    longer: Annotated[float | None, Meta(description="Part, while the line speeds up.")]
    step_mm: Annotated[float | None, Meta(description="Most by which a stroke waits for a step.")]
    step_pitches: float | None
    start_mm: Annotated[float | None, Meta(description="Codes start so far either way at most.")]


class ChangePart(Part, frozen=True, kw_only=True):
    """What a change of one setting does; speed, mass and deflection in parts."""

    change: str
    speed: float
    mass: float
    deflection: float
    breakup_mm: float | None
    periods: float | None


class RoomPart(Part, frozen=True, kw_only=True):
    """Between which values one setting may stay, and what ends it; null: nothing looked at."""

    setting: str
    unit: str
    usual: float
    low: float
    high: float
    low_limit: str | None
    high_limit: str | None


class PointPart(Part, frozen=True, kw_only=True):
    """A point of the map; ``breaks`` are the codes of what is wrong, apart by semicolons."""

    modulation: float
    pressure_kpa: float
    viscosity_mpa_s: float
    jet_speed_m_s: float | None
    wavelength_diameters: float | None
    breakup_mm: float | None
    breakup_periods: float | None
    breaks: str


class FittedPart(Part, frozen=True, kw_only=True):
    """A fitted value with its interval of 95 %, and what the profile said."""

    name: str
    unit: str
    profile: float | None
    value: float
    low: float
    high: float


class ReadingPart(Part, frozen=True, kw_only=True):
    """A reading of the bench beside the fitted model."""

    reading: str
    value: float
    sigma: float
    model: float
    deviations: Annotated[float, Meta(description="Model less reading, in sigma.")]


class FitPart(Part, frozen=True, kw_only=True):
    """What a bench's readings come to."""

    values: list[FittedPart]
    kept: Annotated[list[str], Meta(description="What the readings cannot tell.")]
    readings: list[ReadingPart]
    freedom: Annotated[int, Meta(description="Readings less unknowns.")]
    likely: Annotated[
        float | None, Meta(description="Chance of so bad a fit, were the model right.")
    ]
    explains: bool | None


class JetFindingPart(DiagnosticPart, frozen=True, kw_only=True):
    """What is wrong with the jet, with its figure and bound."""

    measured: float
    limit: float
    unit: str


class JetDocument(Document, frozen=True, kw_only=True, tag="rasterc/jet/1"):
    """A jet, its window with --map, or a fit; what was not asked for is null or empty."""

    profile: str
    jet: JetPart | None
    charge_window: WindowPart | None
    landing: LandingPart | None
    line: list[LinePart]
    changes: list[ChangePart]
    rooms: list[RoomPart]
    map: list[PointPart]
    fit: FitPart | None
    findings: list[JetFindingPart]
    files: list[str]
    cautions: list[str]
