"""The line profile: what the message is printed with and on. Units are in the key names.

Every number has a range, so that what is worked out from it is finite and every list is short.
Where no source is named, the range is common practice with room on both sides: a value outside is
a slip of the unit or of the decimal point.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

import msgspec
from msgspec import Meta, Struct

from rasterc.profile.flight import Flight

MIN_SPEED_M_S, MAX_SPEED_M_S = 0.001, 30.0
"""1 mm/s is a product moved by hand; 30 m/s is cable and wire at its fastest (from memory)."""
LINE_SPEEDS = f"{MIN_SPEED_M_S:g} to {MAX_SPEED_M_S:g} m/s"


def is_line_speed(speed_m_s: float) -> bool:
    """Whether a line can run at this speed, see `LINE_SPEEDS`."""
    return MIN_SPEED_M_S <= speed_m_s <= MAX_SPEED_M_S


# `$` would also match before a line break at the end
_COLOUR = r"^#[0-9a-fA-F]{6}(?![\s\S])"


class Firing(StrEnum):
    """Which drop of a stroke is thrown first."""

    LOW_FIRST = "low-first"
    HIGH_FIRST = "high-first"


class RuleSet(StrEnum):
    """Sets of rules a profile can ask for. The general ones always hold."""

    GENERAL = "general"
    EU_FOOD = "eu-food"
    EU_MEDICINE = "eu-medicine"
    GS1 = "gs1"
    US_FOOD = "us-food"
    US_DEVICE = "us-device"
    EGG = "egg"
    CABLE = "cable"


class Head(Struct, frozen=True, forbid_unknown_fields=True):
    """What the head throws and where it stands."""

    drop_frequency_hz: Annotated[
        float, Meta(ge=10_000, le=300_000, description="Drops formed per second.")
    ]
    throw_mm: Annotated[
        # nearer than 1 mm the product strikes the head
        float, Meta(ge=1, le=100, description="Distance from the plate exit to the product.")
    ]
    row_pitch_mm: Annotated[
        # half of the smallest drop to five times the largest printed one
        float, Meta(ge=0.05, le=5, description="Distance between two rows on the product.")
    ]
    drop_diameter_um: Annotated[
        float, Meta(ge=20, le=400, description="Diameter of a drop in flight.")
    ]


class RasterTiming(Struct, frozen=True, forbid_unknown_fields=True):
    """How the strokes of one raster are thrown."""

    drops: Annotated[int, Meta(ge=5, le=16, description="Drops high.")]
    guard_drops: Annotated[
        int,
        Meta(ge=0, le=4, description="Unprinted drops after each drop of a stroke but the last."),
    ] = 0
    stroke_gap_drops: Annotated[
        int, Meta(ge=0, le=64, description="Unprinted drops between two strokes.")
    ] = 1
    firing: Annotated[Firing, Meta(description="Which drop of a stroke is thrown first.")] = (
        Firing.LOW_FIRST
    )

    @property
    def slots(self) -> int:
        """Drop periods one stroke takes, with its guard drops and the gap after it."""
        return self.rise_slots + 1 + self.stroke_gap_drops

    @property
    def rise_slots(self) -> int:
        """Drop periods from the first drop of a stroke to its last."""
        return (self.drops - 1) * (1 + self.guard_drops)


class Line(Struct, frozen=True, forbid_unknown_fields=True):
    """The products passing the head."""

    speeds_m_s: Annotated[
        list[Annotated[float, Meta(ge=MIN_SPEED_M_S, le=MAX_SPEED_M_S)]],
        # every rule of speed is held against each of them
        Meta(
            min_length=1,
            max_length=32,
            description="Speeds the line runs at; the first is the usual one.",
        ),
    ]
    stroke_pitch_mm: Annotated[
        float, Meta(ge=0.05, le=5, description="Product travel from one stroke to the next.")
    ]
    product_pitch_mm: Annotated[
        # from a cigarette to a length of pipe
        Annotated[float, Meta(ge=1, le=20_000)] | None,
        Meta(description="Travel from one product to the next."),
    ] = None
    print_window_mm: Annotated[
        Annotated[float, Meta(ge=1, le=20_000)] | None,
        Meta(description="Length on the product within which the code must lie."),
    ] = None
    acceleration_m_s2: Annotated[
        Annotated[float, Meta(ge=0.001, le=1000)] | None,
        Meta(description="How fast the line speeds up while it prints."),
    ] = None
    encoder_step_mm: Annotated[
        Annotated[float, Meta(ge=0.0001, le=5)] | None,
        Meta(description="Product travel from one step of the encoder to the next."),
    ] = None
    trigger_jitter_us: Annotated[
        Annotated[float, Meta(ge=0.01, le=100_000)] | None,
        Meta(description="Standard deviation of the time at which a product is seen."),
    ] = None
    upside_down: Annotated[
        bool, Meta(description="Turn the code by half a turn, for a head mounted that way.")
    ] = False
    mirrored: Annotated[
        bool, Meta(description="Throw the strokes last to first, for a line running the other way.")
    ] = False


class Product(Struct, frozen=True, forbid_unknown_fields=True):
    """Ink and surface: how a printed drop looks; and what the rules must know of the product."""

    dot_diameter_mm: Annotated[
        # from the smallest drop that does not spread to the largest that spreads most
        float, Meta(ge=0.02, le=5, description="Diameter of a printed drop on the surface.")
    ]
    ink: Annotated[str, Meta(pattern=_COLOUR, description="Ink colour, #rrggbb.")] = "#1c1c24"
    surface: Annotated[str, Meta(pattern=_COLOUR, description="Surface colour, #rrggbb.")] = (
        "#f5f2ea"
    )
    min_character_height_mm: Annotated[
        # 0.9 mm is the least x-height of EU 1169/2011; 16 rows at the widest pitch are 80 mm
        Annotated[float, Meta(ge=0.1, le=80)] | None,
        Meta(description="Capitals and digits must be at least this high."),
    ] = None
    reading_distance_mm: Annotated[
        # the eye does not focus nearer than 10 cm (from memory); a pallet is read across a yard
        Annotated[float, Meta(ge=100, le=20_000)] | None,
        Meta(description="Distance from which people read the code."),
    ] = None
    largest_surface_cm2: Annotated[
        # from a pill to two hundred square metres of foil
        Annotated[float, Meta(ge=0.01, le=2_000_000)] | None,
        Meta(description="Area of the package's largest surface; large when left out."),
    ] = None
    shelf_life_days: Annotated[
        Annotated[int, Meta(ge=1, le=36_525)] | None,  # a hundred years
        Meta(description="Days the product keeps from the day it is made."),
    ] = None
    products_per_day: Annotated[
        Annotated[int, Meta(ge=1, le=100_000_000)] | None,  # over a thousand a second
        Meta(
            description="Most products coded in one day. Without it the line is taken to run all "
            "day at its fastest speed, one product behind another."
        ),
    ] = None


class LineProfile(Struct, frozen=True, forbid_unknown_fields=True, rename={"rasters": "raster"}):
    """A whole line profile, as read from a TOML file."""

    name: Annotated[str, Meta(min_length=1, max_length=80, description="How people call the line.")]
    head: Annotated[Head, Meta(description="What the head throws and where it stands.")]
    rasters: Annotated[
        list[RasterTiming],
        # one for each number of drops from 5 to 16
        Meta(
            min_length=1,
            max_length=12,
            description="Rasters the head can throw, one [[raster]] each.",
        ),
    ]
    line: Annotated[Line, Meta(description="The products passing the head.")]
    product: Annotated[Product, Meta(description="Ink, surface and product.")]
    flight: Annotated[
        Flight | None, Meta(description="What it takes to fly the drops, when that is known.")
    ] = None
    rules: Annotated[
        list[RuleSet], Meta(max_length=len(RuleSet), description="Sets of rules to check by.")
    ] = msgspec.field(default_factory=lambda: [RuleSet.GENERAL])

    def raster(self, drops: int) -> RasterTiming | None:
        """The raster of so many drops, or None if the head cannot throw it."""
        return next((r for r in self.rasters if r.drops == drops), None)


def json_schema() -> dict[str, object]:
    """JSON Schema (2020-12) of the profile, for editors and for the reference."""
    return msgspec.json.schema(LineProfile)
