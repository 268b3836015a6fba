"""The head in more detail than timing needs: jet, ink, electrode, plates and air.

With this table in a profile the drops can be flown to the product. Drop frequency, throw distance
and row pitch stay where they are, in the head.

The ranges hold every head and ink that the formulas of `rasterc.head` are meant for: a jet that
breaks up by Rayleigh's instability into drops of 40 to 400 um, inks between alcohol and syrup, air
from a cold room to a mountain, fields below the breakdown of air, 3 MV/m (common practice, from
memory).
"""

from __future__ import annotations

from typing import Annotated

import msgspec
from msgspec import Meta, Struct


class Jet(Struct, frozen=True, forbid_unknown_fields=True):
    """The jet that breaks into drops."""

    nozzle_um: Annotated[
        float, Meta(ge=20, le=150, description="Nozzle diameter; the jet is taken to be as wide.")
    ]
    jet_speed_m_s: Annotated[
        float, Meta(ge=5, le=40, description="Speed of the jet, and of a drop as it breaks off.")
    ]


class Ink(Struct, frozen=True, forbid_unknown_fields=True):
    """The ink as a liquid."""

    density_kg_m3: Annotated[
        float, Meta(ge=600, le=2000, description="Density at working temperature.")
    ]
    surface_tension_n_m: Annotated[
        float, Meta(ge=0.015, le=0.08, description="Surface tension at working temperature.")
    ]
    viscosity_mpa_s: Annotated[
        float, Meta(ge=0.5, le=30, description="Viscosity at working temperature.")
    ]
    spread_ratio: Annotated[
        float, Meta(ge=1, le=8, description="Diameter of a printed drop / of a drop in flight.")
    ]


class Electrode(Struct, frozen=True, forbid_unknown_fields=True):
    """The tunnel around the place of breakup that charges the drops."""

    bore_um: Annotated[
        float, Meta(ge=100, le=3000, description="Inner diameter of the tunnel around the jet.")
    ]
    max_v: Annotated[float, Meta(ge=20, le=1000, description="Highest voltage of the amplifier.")]
    min_v: Annotated[
        float, Meta(ge=-100, le=50, description="Lowest voltage of the amplifier.")
    ] = 0.0
    dac_bits: Annotated[
        int, Meta(ge=6, le=16, description="Resolution of the voltage, from lowest to highest.")
    ] = 12
    capacitance_factor: Annotated[
        float,
        Meta(ge=0.1, le=3, description="Charge of a drop / that of a jet in a long tunnel."),
    ] = 1.0
    induction: Annotated[
        list[Annotated[float, Meta(ge=0, le=0.5)]],
        Meta(
            max_length=8,
            description="Part of the charge of the drop before, of the one before that, and so "
            "on, that is taken from a drop as it forms.",
        ),
    ] = msgspec.field(default_factory=list)


class Plates(Struct, frozen=True, forbid_unknown_fields=True):
    """The deflection plates."""

    to_plates_mm: Annotated[
        float, Meta(ge=0.5, le=30, description="From breakup to the entry of the plates.")
    ]
    length_mm: Annotated[float, Meta(ge=2, le=60, description="Length of the plates.")]
    field_mv_m: Annotated[float, Meta(ge=0.01, le=2.5, description="Field between them, MV/m.")]
    gap_mm: Annotated[
        float, Meta(ge=0.2, le=15, description="Gap between them; the field fades over it.")
    ]
    clearance_mm: Annotated[
        float, Meta(ge=0.1, le=15, description="Deflection at which a drop strikes a plate.")
    ]


class Air(Struct, frozen=True, forbid_unknown_fields=True):
    """The air the drops fly through; the defaults are dry air at 20 degrees C and 1013 hPa."""

    density_kg_m3: Annotated[float, Meta(ge=0.5, le=2, description="Density.")] = 1.204
    viscosity_upa_s: Annotated[float, Meta(ge=10, le=30, description="Viscosity, uPa s.")] = 18.2


class Flight(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """What it takes to fly the drops."""

    lowest_row_mm: Annotated[
        float,
        Meta(ge=0.01, le=20, description="Deflection of the lowest row at the profile's throw."),
    ]
    throw_tolerance_mm: Annotated[
        float,
        Meta(ge=0, le=50, description="How much nearer or further than throw_mm products pass."),
    ] = 0.0
    jet: Annotated[Jet, Meta(description="The jet that breaks into drops.")]
    ink: Annotated[Ink, Meta(description="The ink as a liquid.")]
    electrode: Annotated[Electrode, Meta(description="What charges the drops.")]
    plates: Annotated[Plates, Meta(description="The deflection plates.")]
    air: Annotated[Air, Meta(description="The air the drops fly through.")] = msgspec.field(
        default_factory=Air
    )
