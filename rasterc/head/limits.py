"""What a head cannot do, or only just: faults of a jet and of a charge table.

Errors say that the message cannot be thrown like this, warnings that little room is left.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import pi

import numpy as np

from rasterc.diagnostics import Severity
from rasterc.head.arrays import Bools, Floats
from rasterc.head.model import HeadModel, JetSummary
from rasterc.head.plan import guard_drops_in_words
from rasterc.head.table import ChargeTable, Landings

# Common practice, no source, except Rayleigh's limit itself and touching drops (1 diameter).
SAFE_CHARGE = 0.8  # of Rayleigh's limit
SAFE_SEPARATION = 1.3  # diameters
NEAR_ROW, FAR_ROW = 0.1, 0.5  # row pitches off: uneven, taken for the next row
UNSOLVED_M = 5e-6  # what the search may leave without a word; below any limit of reading
USUAL_WAVELENGTHS = (5.0, 7.0)  # nozzle diameters: Pimbley and Lee 1977 (abstract)
STEPS_ADDED = 3.0  # half a step of its own and those of the drops before it; assumption
MOST_REYNOLDS = 1000.0  # where the drag formula ends


@dataclass(frozen=True, slots=True)
class FlightFault:
    """One thing that is wrong in flight.

    Attributes:
        code: what, in words.
        message: what, in a sentence.
        help: what to do about it.
        measured, limit, unit: the figure, what it was held against, and their unit ("" for none).
        stroke, row: the worst drop, both from 0; None when it is not about one drop.
        count: how many drops of that row have the same fault.
    """

    code: str
    message: str
    help: str
    severity: Severity
    measured: float
    limit: float
    unit: str
    stroke: int | None = None
    row: int | None = None
    count: int = 1

    @property
    def excess(self) -> float:
        """How much worse than the limit, to tell the worse of two faults of one kind."""
        worse = abs(self.measured - self.limit) / max(abs(self.limit), 1e-12)
        return worse + 1e3 * (self.severity is Severity.ERROR)


def jet_faults(summary: JetSummary) -> list[FlightFault]:
    """What is unusual about a jet, whatever it prints."""
    faults = []
    low, high = USUAL_WAVELENGTHS
    ratio = summary.wavelength_per_nozzle
    breaks_up = ratio > pi  # Rayleigh: shorter disturbances do not grow
    if not low <= ratio <= high:
        faults.append(
            FlightFault(
                "wavelength",
                f"drops form {ratio:.1f} nozzle diameters apart; satellites are least likely "
                f"between {low:g} and {high:g}",
                f"choose a drop frequency near {_percent(ratio / 5.5)} of this one",
                Severity.WARNING if breaks_up else Severity.ERROR,
                ratio,
                low if ratio < low else high,
                "diameters",
            )
        )
    if summary.air_reynolds > MOST_REYNOLDS:
        faults.append(
            FlightFault(
                "reynolds",
                f"the Reynolds number of a drop in air is {summary.air_reynolds:.0f}; the drag "
                f"formula holds up to {MOST_REYNOLDS:g}",
                "take what is said about the flight of these drops as a guess",
                Severity.WARNING,
                summary.air_reynolds,
                MOST_REYNOLDS,
                "",
            )
        )
    return faults


def flight_faults(head: HeadModel, table: ChargeTable) -> list[FlightFault]:
    """What is wrong with a charge table: for each kind and row the worst drop, errors first."""
    faults = [
        *_unsolved(table),
        *_overcharged(table),
        *_out_of_volts(head, table),
        *_merged(table),
        *_struck(head, table),
        *_off_row(head, table),
    ]
    return sorted(faults, key=lambda f: f.severity is not Severity.ERROR)


def _percent(part: float) -> str:
    return f"{part * 100:.0f} %"


def _drop(table: ChargeTable, drop: int) -> str:
    landings = table.landings
    return f"row {landings.row[drop]} of stroke {landings.stroke[drop] + 1}"


def _worst_by_row(table: ChargeTable, wrong: Bools, badness: Floats) -> Iterator[tuple[int, int]]:
    """The worst drop of each row that has a wrong one, and how many such drops the row has."""
    rows = table.landings.row
    for row in np.unique(rows[wrong]):
        drops = np.flatnonzero(wrong & (rows == row))
        yield int(drops[np.argmax(badness[drops])]), len(drops)


def _unsolved(table: ChargeTable) -> Iterator[FlightFault]:
    """Strokes for which the search for charges did not come to its end; their drops are judged."""
    residual = table.residual_m
    unsolved = np.flatnonzero(~(residual <= UNSOLVED_M))
    if unsolved.size == 0:
        return
    worst = int(unsolved[np.argmax(np.nan_to_num(residual[unsolved], nan=np.inf))])
    left = f"{residual[worst] * 1000:.3f} mm off" if np.isfinite(residual[worst]) else "lost"
    yield FlightFault(
        "not-converged",
        f"the search for the charges of stroke {worst + 1} ended before its drops were on their "
        f"rows: one was {left}",
        "throw more guard drops, another firing order or a lower raster",
        Severity.WARNING,
        float(min(residual[worst] * 1000, 1e6)),
        UNSOLVED_M * 1000,
        "mm",
        stroke=worst,
        count=len(unsolved),
    )


def _overcharged(table: ChargeTable) -> Iterator[FlightFault]:
    """Drops near or beyond Rayleigh's charge limit."""
    slots = table.landings.slot
    charges = table.rayleigh_fraction[slots]
    for drop, count in _worst_by_row(table, charges > SAFE_CHARGE, charges):
        beyond = charges[drop] > 1
        yield FlightFault(
            "charge-limit",
            f"the drop of {_drop(table, drop)} needs {_percent(charges[drop])} of the charge at "
            "which it bursts",
            "shorten the raster, or raise the field or the length of the plates",
            Severity.ERROR if beyond else Severity.WARNING,
            float(charges[drop]),
            1.0 if beyond else SAFE_CHARGE,
            "of Rayleigh's limit",
            *_where(table, drop),
            count,
        )


def _out_of_volts(head: HeadModel, table: ChargeTable) -> Iterator[FlightFault]:
    """Drops that need a voltage the amplifier does not have."""
    volts = table.wanted_v[table.landings.slot]
    over = np.maximum(volts - head.max_v, head.min_v - volts)
    for drop, count in _worst_by_row(table, over > 0, over):
        limit = head.max_v if volts[drop] > head.max_v else head.min_v
        yield FlightFault(
            "voltage-limit",
            f"the drop of {_drop(table, drop)} needs {volts[drop]:.0f} V; the amplifier ends at "
            f"{limit:g} V",
            "shorten the raster, narrow the electrode, or raise the field or length of the plates",
            Severity.ERROR,
            float(volts[drop]),
            limit,
            "V",
            *_where(table, drop),
            count,
        )


def _merged(table: ChargeTable) -> Iterator[FlightFault]:
    """Drops that come too near another one in flight."""
    separation = table.landings.separation
    near = (separation < SAFE_SEPARATION) & ~_told_already(table.landings)
    for drop, count in _worst_by_row(table, near, -separation):
        touching = separation[drop] < 1
        other = _slot_in_words(table, int(table.landings.nearest_slot[drop]))
        yield FlightFault(
            "merge",
            f"the drop of {_drop(table, drop)} {'merges with' if touching else 'nearly meets'} "
            f"{other} in flight ({separation[drop]:.2f} diameters apart)",
            _more_room(table),
            Severity.ERROR if touching else Severity.WARNING,
            float(separation[drop]),
            1.0 if touching else SAFE_SEPARATION,
            "diameters",
            *_where(table, drop),
            count,
        )


def _more_room(table: ChargeTable) -> str:
    """What keeps drops apart, as far as the firing leaves it to be done."""
    throw = table.plan.throw
    turn = "" if throw.order == tuple(sorted(throw.order)) else ", or fire the low row first"
    return f"throw {guard_drops_in_words(throw.guard_drops + 1)}{turn}"


def _told_already(landings: Landings) -> Bools:
    """Drops whose pair is reported for the other one: each is the other's nearest, born later."""
    slots, nearest = landings.slot.tolist(), landings.nearest_slot.tolist()
    partner = dict(zip(slots, nearest, strict=True))
    pairs = zip(slots, nearest, strict=True)
    return np.array([partner.get(n) == s and n < s for s, n in pairs], dtype=np.bool_)


def _struck(head: HeadModel, table: ChargeTable) -> Iterator[FlightFault]:
    """Drops that strike a plate."""
    plate_mm, limit_mm = table.landings.plate_mm, head.clearance_m * 1000
    for drop, count in _worst_by_row(table, plate_mm >= limit_mm, plate_mm):
        yield FlightFault(
            "plate-strike",
            f"the drop of {_drop(table, drop)} strikes a plate: it is {plate_mm[drop]:.2f} mm out "
            f"where {limit_mm:g} mm are clear",
            "shorten the raster, or print it lower at a longer throw",
            Severity.ERROR,
            float(plate_mm[drop]),
            limit_mm,
            "mm",
            *_where(table, drop),
            count,
        )


def _off_row(head: HeadModel, table: ChargeTable) -> Iterator[FlightFault]:
    """Drops that land off their row once the converter and the whole message are counted in."""
    pitches = np.abs(table.landings.y_error_mm) / (head.row_pitch_m * 1000)
    for drop, count in _worst_by_row(table, pitches > NEAR_ROW, pitches):
        far = pitches[drop] > FAR_ROW
        volts = table.wanted_v[table.landings.slot[drop]]
        clipped = not head.min_v <= volts <= head.max_v
        unsolved = not table.residual_m[table.landings.stroke[drop]] <= UNSOLVED_M
        yield FlightFault(
            "off-row",
            f"the drop of {_drop(table, drop)} lands {pitches[drop]:.2f} row pitches off its row",
            _off_row_help(table, clipped, unsolved, _by_converter(head, table, drop)),
            Severity.ERROR if far else Severity.WARNING,
            float(pitches[drop]),
            FAR_ROW if far else NEAR_ROW,
            "row pitches",
            *_where(table, drop),
            count,
        )


def _by_converter(head: HeadModel, table: ChargeTable, drop: int) -> bool:
    """Whether steps of the converter can put a drop so far off, some of its neighbours' added."""
    step_v = (head.max_v - head.min_v) / (2**head.dac_bits - 1)
    volts = abs(float(table.wanted_v[table.landings.slot[drop]]))
    by_steps_mm = abs(float(table.landings.y_mm[drop])) * step_v / max(volts, step_v)
    return bool(abs(table.landings.y_error_mm[drop]) <= STEPS_ADDED * by_steps_mm)


def _off_row_help(table: ChargeTable, clipped: bool, unsolved: bool, steps: bool) -> str:
    if clipped:
        return "give the amplifier the range that is needed, or shorten the raster"
    if unsolved:
        return "throw more guard drops, another firing order or a lower raster"
    if not steps:
        return f"{_more_room(table)}: drops this near to each other magnify small errors"
    return "use a finer converter (dac_bits) or a smaller voltage range"


def _where(table: ChargeTable, drop: int) -> tuple[int, int]:
    return int(table.landings.stroke[drop]), int(table.landings.row[drop])


def _slot_in_words(table: ChargeTable, slot: int) -> str:
    """The drop of a slot: printed, or one of the unprinted."""
    here = np.flatnonzero(table.landings.slot == slot)
    return f"that of {_drop(table, int(here[0]))}" if here.size else "an unprinted drop"
