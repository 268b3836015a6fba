"""The document of `rasterc fly`."""

from __future__ import annotations

from typing import Annotated, TypeAlias

from msgspec import UNSET, Meta, UnsetType

from rasterc.cli.documents.common import Document, Moment, Part
from rasterc.diagnostics import Severity

Row: TypeAlias = dict[str, str | int | float | bool | None]
Rows: TypeAlias = list[Row] | UnsetType


class FlightFaultPart(Part, frozen=True, kw_only=True):
    """One thing that is wrong in flight."""

    severity: Severity
    code: str
    message: str
    help: str
    measured: float
    limit: float
    unit: str
    stroke: Annotated[int | None, Meta(description="Of the worst drop, from 0.")]
    row: Annotated[int | None, Meta(description="Of the worst drop, from 0.")]
    count: Annotated[int, Meta(description="Drops of that row with the same fault.")]


class WindowPart(Part, frozen=True, kw_only=True):
    """The widest box of grid points, around the usual one, at which the message is readable."""

    charges: str
    slowest_m_s: float
    fastest_m_s: float
    nearest_mm: float
    furthest_mm: float
    points: int


class TogetherPart(Part, frozen=True, kw_only=True):
    """What share of its own tolerance everything may use at once."""

    followed: Annotated[bool, Meta(description="Whether the phase of charging is followed.")]
    share: Annotated[float, Meta(description="The largest at which every draw held, 0 to 1.")]
    fails_at: Annotated[float | None, Meta(description="The least at which one failed.")]
    limits: Annotated[list[str], Meta(description="What it failed by.")]


class UntoldPart(Part, frozen=True, kw_only=True):
    """Something of which nothing can be said."""

    what: str
    why: str


class FlyDocument(Document, frozen=True, kw_only=True, tag="rasterc/fly/1"):
    """One study: keys of other studies are left out."""

    message: str
    at: Moment | None
    lines: list[str]
    profile: str
    readable: bool
    files: list[str]
    cautions: list[str]
    flown_by: Annotated[str, Meta(description="compiled loops (extra fast), or numpy.")]
    flight: Row | UnsetType = UNSET
    jet: dict[str, float] | UnsetType = UNSET
    verdict: Annotated[
        str | UnsetType,
        Meta(description="holds throughout, depends on the wake, or fails."),
    ] = UNSET
    wake_band: Annotated[
        Rows, Meta(description="The figures under each strength of the wakes, and what fails.")
    ] = UNSET
    faults: list[FlightFaultPart] | UnsetType = UNSET
    drops: Rows = UNSET
    windows: list[WindowPart] | UnsetType = UNSET
    map: Rows = UNSET
    fastest_m_s: float | UnsetType = UNSET
    climb: Rows = UNSET
    seed: int | UnsetType = UNSET
    spread: dict[str, float] | UnsetType = UNSET
    flights: Rows = UNSET
    line: Annotated[Rows, Meta(description="What the line itself does to codes at each speed.")] = (
        UNSET
    )
    profile_order: str | UnsetType | None = UNSET
    firing: Rows = UNSET
    charges: Rows = UNSET
    equal: Annotated[
        str | UnsetType, Meta(description="What is the same for all rasters: height or speed.")
    ] = UNSET
    rasters: Annotated[
        Rows, Meta(description="Each raster in each firing order, best first; then with one more.")
    ] = UNSET
    draws: int | UnsetType = UNSET
    tolerances: Annotated[
        Rows, Meta(description="How far each thing may drift each way, and what ends it.")
    ] = UNSET
    untold: list[UntoldPart] | UnsetType = UNSET
    together: list[TogetherPart] | UnsetType = UNSET
    advice: Annotated[
        list[str] | UnsetType, Meta(description="What a comparison comes to, in sentences.")
    ] = UNSET
