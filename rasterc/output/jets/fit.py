"""A fit to measurements in words, within 80 columns."""

from __future__ import annotations

from rasterc.output.flights.text import table, wrapped
from rasterc.profile.flight import Measurement, Reading
from rasterc.sweep.fit import LIKELY, FitResult

WORST = 5  # readings that are named when the model cannot explain them


def fit_lines(found: FitResult) -> list[str]:
    """What was fitted, what was not, and whether the model can explain the readings."""
    rows = [["", "fitted", "95 % from", "to", "profile", ""]]
    for one in found.values:
        told = "-" if one.profile is None else f"{one.profile:.4g}"
        numbers = [f"{value:.4g}" for value in (one.value, one.low, one.high)]
        rows.append([one.name, *numbers, told, one.unit])
    lines = table(rows)
    if found.kept:
        names = ", ".join(found.kept)
        lines.append(wrapped(f"these readings cannot tell, so the profile's hold: {names}"))
    return [*lines, "", *verdict_lines(found)]


def verdict_lines(found: FitResult) -> list[str]:
    """Whether the model can explain the readings, and if not the worst of them."""
    if found.likely is None:
        said = "cannot say whether the model explains the readings: as many unknowns as readings"
        return [wrapped(said)]
    chance = f"{found.likely * 100:.1f} %" if found.likely >= 1e-3 else "less than 0.1 %"
    by = f"were it right, chance alone would make {chance} of fits as bad as this or worse"
    if found.explains:
        return [wrapped(f"the model can explain the readings: {by}")]
    lines = [
        wrapped(
            f"the model cannot explain the readings: {by}; {LIKELY * 100:g} % is the limit. Either "
            "the readings are less sure than said, or the model leaves something out. The worst:"
        )
    ]
    worst = sorted(found.residuals, key=lambda one: -abs(one.deviations))[:WORST]
    rows = [["reading", "read", "model", "deviations"]]
    for one in worst:
        row = [in_words(one.reading), f"{one.reading.value:.4g}", f"{one.model:.4g}"]
        rows.append([*row, f"{one.deviations:+.1f}"])
    return [*lines, *table(rows)]


def in_words(reading: Measurement) -> str:
    """A reading without its value."""
    match reading.what:
        case Reading.SINGLE:
            return f"a drop alone at {reading.volts:g} V"
        case Reading.PAIR_FIRST | Reading.PAIR_SECOND:
            which = "first" if reading.what is Reading.PAIR_FIRST else "second"
            volts = f"{reading.volts:g} and {reading.second_volts:g} V"
            return f"the {which} of a pair at {volts}, {reading.slots} slots apart"
        case Reading.BREAKUP:
            return "breakup"
        case Reading.SPEED:
            return "speed"
