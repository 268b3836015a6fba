"""The head in more detail than timing needs: jet, ink, electrode, plates and air.

With this table in a profile the drops can be flown to the product. Drop frequency, throw distance
and row pitch stay where they are, in the head.

The ranges hold every head and ink that the formulas of `rasterc.head` are meant for: a jet that
breaks up by Rayleigh's instability into drops of 40 to 400 um, inks between alcohol and syrup, air
from a cold room to a mountain, fields below the breakdown of air, 3 MV/m (common practice, from
memory).
"""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

import msgspec
from msgspec import Meta, Struct


class Solvent(StrEnum):
    """Liquids that inks are thinned with, whose properties are known."""

    BUTANONE = "butanone"
    ACETONE = "acetone"
    ETHANOL = "ethanol"
    PROPANOL = "2-propanol"
    CYCLOHEXANONE = "cyclohexanone"


class Material(StrEnum):
    """Polymers whose critical surface tension is known."""

    PTFE = "PTFE"
    PP = "PP"
    PE = "PE"
    PS = "PS"
    PMMA = "PMMA"
    PVC = "PVC"
    PET = "PET"
    PC = "PC"
    PA6 = "PA6"


class Jet(Struct, frozen=True, forbid_unknown_fields=True):
    """The jet that breaks into drops."""

    nozzle_um: Annotated[
        float,
        Meta(ge=20, le=150, description="Nozzle diameter; the jet is as wide, but for jet_um."),
    ]
    jet_speed_m_s: Annotated[
        float, Meta(ge=5, le=40, description="Speed of the jet, and of a drop as it breaks off.")
    ]
    jet_um: Annotated[
        Annotated[float, Meta(ge=15, le=150)] | None,
        Meta(description="Diameter of the jet, where it is narrower than its nozzle."),
    ] = None
    nozzle_length_um: Annotated[
        Annotated[float, Meta(ge=1, le=2000)] | None,
        Meta(description="Length of the nozzle's bore: what friction in it costs."),
    ] = None
    pressure_kpa: Annotated[
        Annotated[float, Meta(ge=10, le=2000)] | None,
        Meta(description="Pressure of the ink above that of the air at this jet speed."),
    ] = None
    modulation: Annotated[
        Annotated[float, Meta(ge=0.00001, le=0.5)] | None,
        Meta(description="Height of the drive's disturbance at the nozzle / radius of the jet."),
    ] = None
    breakup_mm: Annotated[
        Annotated[float, Meta(ge=0.2, le=60)] | None,
        Meta(description="From the nozzle to where drops break off, as seen, if not modulation."),
    ] = None

    @property
    def diameter_m(self) -> float:
        """Diameter of the jet."""
        return (self.nozzle_um if self.jet_um is None else self.jet_um) * 1e-6


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
        Annotated[float, Meta(ge=1, le=8)] | None,
        Meta(
            description="Diameter of a printed drop / of a drop in flight. Left out, it follows "
            "from contact_angle_deg of [flight.surface]."
        ),
    ] = None
    stated_at_c: Annotated[
        float, Meta(ge=-10, le=60, description="Temperature at which the ink is as said here.")
    ] = 20.0
    viscosity_by_c: Annotated[
        list[tuple[Annotated[float, Meta(ge=-10, le=60)], Annotated[float, Meta(ge=0.2, le=100)]]],
        Meta(
            max_length=20,
            description="Viscosity at other temperatures, as measured: [degrees C, mPa s] each.",
        ),
    ] = msgspec.field(default_factory=list)
    make_up: Annotated[
        Solvent | None,
        Meta(
            description="The make-up liquid. With it viscosity, surface tension and density are "
            "told at other temperatures and shares of make-up."
        ),
    ] = None
    make_up_interaction: Annotated[
        float,
        Meta(ge=-5, le=5, description="Interaction G of ink and make-up by Grunberg and Nissan."),
    ] = 0.0
    conductivity_s_m: Annotated[
        Annotated[float, Meta(ge=0.001, le=20)] | None,
        Meta(description="Electric conductivity of the ink, S/m."),
    ] = None


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
    from_nozzle_mm: Annotated[
        Annotated[float, Meta(ge=0.1, le=60)] | None,
        Meta(description="From the nozzle to the entry of the tunnel."),
    ] = None
    length_mm: Annotated[
        Annotated[float, Meta(ge=0.2, le=30)] | None, Meta(description="Length of the tunnel.")
    ] = None
    settle_us: Annotated[
        Annotated[float, Meta(ge=0.01, le=100)] | None,
        Meta(description="Time the amplifier takes to settle on a new voltage."),
    ] = None
    phase_followed: Annotated[
        bool,
        Meta(
            description="Whether the head senses the phase of charging anew as breakup moves; else "
            "it stays in the middle of its window."
        ),
    ] = False
    induction: Annotated[
        list[Annotated[float, Meta(ge=0, le=0.5)]] | None,
        Meta(
            description="Part of the charge of the drop before, of the one before that, and so "
            "on, that is taken from a drop as it forms; from bore and spacing when left out.",
        ),
    ] = None


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


class Surface(Struct, frozen=True, forbid_unknown_fields=True):
    """What the drops land on, and the air that it drags along."""

    contact_angle_deg: Annotated[
        Annotated[float, Meta(ge=2, le=160)] | None,
        Meta(description="Angle at which a resting drop of the ink meets the surface."),
    ] = None
    material: Annotated[
        Material | None, Meta(description="What the surface is made of, if one of these.")
    ] = None
    moving_mm: Annotated[
        float,
        Meta(ge=1, le=10_000, description="Length of moving surface that has passed the head."),
    ] = 300.0


class Reading(StrEnum):
    """What a bench reads off."""

    SINGLE = "single"
    PAIR_FIRST = "pair-first"
    PAIR_SECOND = "pair-second"
    BREAKUP = "breakup"
    SPEED = "speed"


class Measurement(Struct, frozen=True, forbid_unknown_fields=True):
    """One reading of a bench, at the profile's throw; all other slots of the stream at 0 V."""

    what: Annotated[
        Reading,
        Meta(
            description="Where a drop alone lands, or the first or second of a pair (mm from the "
            "jet's axis); length of the unbroken jet (mm); speed of drops at breakup (m/s)."
        ),
    ]
    value: Annotated[float, Meta(ge=0.01, le=200, description="What was read, mm or m/s.")]
    sigma: Annotated[
        float,
        Meta(ge=0.00001, le=10, description="Standard deviation of the reading, same unit."),
    ]
    volts: Annotated[
        Annotated[float, Meta(ge=1, le=1000)] | None,
        Meta(description="Voltage of the drop, of a pair's first one."),
    ] = None
    second_volts: Annotated[
        Annotated[float, Meta(ge=1, le=1000)] | None,
        Meta(description="Voltage of a pair's second drop."),
    ] = None
    slots: Annotated[
        Annotated[int, Meta(ge=1, le=40)] | None,
        Meta(description="Drop periods from a pair's first drop to its second."),
    ] = None


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
    wake: Annotated[
        list[Annotated[float, Meta(ge=0, le=1.5)]],
        Meta(
            min_length=3,
            max_length=3,
            description="Strength of the wakes of drops: the least, usual and greatest factor on "
            "the law of rasterc.head.wake; what your own measurements say.",
        ),
    ] = msgspec.field(default_factory=lambda: [0.75, 1.0, 1.1])
    jet: Annotated[Jet, Meta(description="The jet that breaks into drops.")]
    ink: Annotated[Ink, Meta(description="The ink as a liquid.")]
    electrode: Annotated[Electrode, Meta(description="What charges the drops.")]
    plates: Annotated[Plates, Meta(description="The deflection plates.")]
    air: Annotated[Air, Meta(description="The air the drops fly through.")] = msgspec.field(
        default_factory=Air
    )
    surface: Annotated[Surface, Meta(description="What the drops land on.")] = msgspec.field(
        default_factory=Surface
    )
    measured: Annotated[
        list[Measurement],
        Meta(max_length=1000, description="What a bench has measured, for jet --fit."),
    ] = msgspec.field(default_factory=list)
