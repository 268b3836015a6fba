"""The ink at a temperature and a share of make-up."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log

from rasterc.diagnostics import InputError
from rasterc.head import liquids
from rasterc.head.liquids import COLDEST_C, HOTTEST_C, LIQUIDS, ZERO_C_K
from rasterc.profile.flight import Ink

MOST_MAKE_UP = 0.9  # beyond it the ink is a trace in its solvent


@dataclass(frozen=True, slots=True)
class InkState:
    """What the jet is made of, in SI units."""

    density_kg_m3: float
    surface_tension_n_m: float
    viscosity_pa_s: float


def ink_at(ink: Ink, temperature_c: float | None = None, make_up: float = 0.0) -> InkState:
    """The ink of a profile at a temperature, with a part of its mass make-up added to it.

    Viscosity by temperature: through the measured points if there are any, else it keeps its ratio
    to that of its make-up liquid (an assumption: what is dissolved thickens it at every
    temperature alike). Surface tension falls as that of the make-up liquid does, density in
    proportion to it. With make-up of a mass share x: ln mu by Grunberg and Nissan, with x for the
    mole fraction, as nobody knows the moles of an ink; surface tension (1 - x) g1 + x g2 and
    volumes that add up. The last three are assumptions, good for small shares.

    Args:
        ink: the ink of a profile.
        temperature_c: where it breaks up; the profile's when None.
        make_up: part of the whole mass that was added, 0 to `MOST_MAKE_UP`.

    Raises:
        InputError: a temperature or share that is none, or that the profile does not tell of.
    """
    warm = ink.stated_at_c if temperature_c is None else temperature_c
    _check(ink, warm, make_up)
    liquid = LIQUIDS[ink.make_up] if ink.make_up is not None else None
    viscosity = _viscosity_mpa_s(ink, warm)
    tension, density = ink.surface_tension_n_m, ink.density_kg_m3
    if liquid is not None:
        stated = ink.stated_at_c
        solvent_g = liquids.surface_tension_n_m(liquid, warm)
        solvent_rho = liquids.density_kg_m3(liquid, warm)
        tension += solvent_g - liquids.surface_tension_n_m(liquid, stated)
        density *= solvent_rho / liquids.density_kg_m3(liquid, stated)
        thin = liquids.viscosity_mpa_s(liquid, warm)
        viscosity = liquids.mixed_viscosity_mpa_s(viscosity, thin, make_up, ink.make_up_interaction)
        tension = (1 - make_up) * tension + make_up * solvent_g
        density = 1 / ((1 - make_up) / density + make_up / solvent_rho)
    return InkState(density, tension, viscosity * 1e-3)


def interpolated_mpa_s(points: list[tuple[float, float]], temperature_c: float) -> float:
    """Viscosity between measured points (degrees C, mPa s): ln mu straight in 1 / T.

    Beyond the outer points the nearest two are continued. Source: Guzman's and Andrade's law
    mu = A exp(B / T), textbook rheology.

    >>> round(interpolated_mpa_s([(10, 5.0), (30, 2.5)], 20), 3)
    3.494
    """
    known = sorted(points)
    after = next((i for i, (t, _) in enumerate(known) if t >= temperature_c), len(known) - 1)
    (t1, mu1), (t2, mu2) = known[max(after, 1) - 1 : max(after, 1) + 1]
    x1, x2, x = (1 / (t + ZERO_C_K) for t in (t1, t2, temperature_c))
    return exp(log(mu1) + (log(mu2) - log(mu1)) * (x - x1) / (x2 - x1))


def _viscosity_mpa_s(ink: Ink, warm: float) -> float:
    if warm == ink.stated_at_c:
        return ink.viscosity_mpa_s
    if ink.viscosity_by_c:
        points = dict(ink.viscosity_by_c) | {ink.stated_at_c: ink.viscosity_mpa_s}
        return interpolated_mpa_s(list(points.items()), warm)
    assert ink.make_up is not None
    liquid = LIQUIDS[ink.make_up]
    at_stated = liquids.viscosity_mpa_s(liquid, ink.stated_at_c)
    return ink.viscosity_mpa_s * liquids.viscosity_mpa_s(liquid, warm) / at_stated


def _check(ink: Ink, warm: float, make_up: float) -> None:
    if not COLDEST_C <= warm <= HOTTEST_C:
        raise InputError.one(
            "bad-temperature",
            f"{warm:g} degrees C is no temperature of a head",
            help=f"give {COLDEST_C:g} to {HOTTEST_C:g} degrees C",
        )
    if not 0 <= make_up <= MOST_MAKE_UP:
        raise InputError.one(
            "bad-make-up",
            f"{make_up:g} is no part of the ink's mass",
            help=f"give 0 to {MOST_MAKE_UP:g}: 0.1 when a tenth of the whole is make-up added",
        )
    if ink.make_up is not None:
        return
    if make_up > 0:
        said = "the profile does not say what the ink is thinned with"
        raise InputError.one("no-make-up", said, help=f"add make_up to [flight.ink]: {_known()}")
    if warm != ink.stated_at_c and not ink.viscosity_by_c:
        said = f"the profile tells the ink's viscosity at {ink.stated_at_c:g} degrees C only"
        help = f"add viscosity_by_c, or make_up, to [flight.ink]: {_known()}"
        raise InputError.one("one-temperature", said, help=help)


def _known() -> str:
    return ", ".join(LIQUIDS)
