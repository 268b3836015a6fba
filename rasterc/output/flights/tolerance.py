"""How far things may drift, in words, as a table and as a picture."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from rasterc.output.flights.plots import BAD, GOOD, UNSURE, saved
from rasterc.output.flights.tables import Cell, Table, table_of
from rasterc.output.flights.text import number, wrapped
from rasterc.sweep.drifting import Drift, Drifting
from rasterc.sweep.extras import needed
from rasterc.sweep.tolerance import Edge, Side, Together

HEADING = "  may drift, alone     now           holds to            high  ends by"
NOT_REACHED = "not reached"
FOLLOWED = "  if phase followed"
LEGEND = (
    "charges stay as they are. viscosity: at the same jet speed; jet speed: drop mass follows; "
    "drop mass: by the width of the jet; temperature: of the ink at the same pressure, with all "
    "that follows; trigger jitter: one standard deviation; high: capitals there, mm; not reached: "
    "holds to the end of what was tried. Between values flown nothing is known."
)


def side_lines(side: Side) -> list[str]:
    """A row for one thing drifting one way; a second if following the phase gives it more room."""
    drifting = side.drifting
    sign = "+" if side.end > drifting.usual else "-"
    now = f"{drifting.usual:6.4g} {drifting.unit:<5}"
    lines = [f"  {drifting.what + ' ' + sign:<17}{now}  {_edge(drifting, side.edge)}"]
    if side.followed != side.edge:
        lines.append(f"{FOLLOWED:<19}{'':12}  {_edge(drifting, side.followed)}")
    return lines


def _edge(drifting: Drifting, edge: Edge) -> str:
    ends = ", ".join(edge.limits) or NOT_REACHED
    change = f"{edge.holds_to - drifting.usual:+.1f} C"
    if drifting.what is not Drift.TEMPERATURE:
        change = f"{percent(drifting, edge):+.1f} %" if drifting.usual else ""
    return f"{edge.holds_to:8.4g}  {change:>8}  {number(edge.height_mm, 2):>5}  {ends}"


def percent(drifting: Drifting, edge: Edge) -> float:
    """How far that is from the usual value."""
    return (edge.holds_to / drifting.usual - 1) * 100


def untold_lines(untold: Mapping[str, str]) -> list[str]:
    """What nothing can be said of, and why."""
    return [wrapped(f"{what}: cannot say: {why}") for what, why in untold.items()]


def together_lines(found: Sequence[Together], draws: int, seed: int) -> list[str]:
    """What share of these tolerances all may use at once."""
    lines = [f"  all together, {draws} draws, seed {seed}:"]
    for one in found:
        phase = "with the phase followed, " if one.followed else ""
        if one.fails_at is None:
            said = "every draw holds with the whole of each tolerance"
        else:
            limits = ", ".join(one.limits)
            share = f"within {one.share * 100:.0f} % of its tolerance"
            said = f"{share} each; at {one.fails_at * 100:.0f} % a draw fails by {limits}"
            if not one.share:
                said = f"no share was found; at {one.fails_at * 100:.0f} % one fails by {limits}"
        lines.append(wrapped(f"{phase}{said}", "    "))
    return lines


def side_row(side: Side) -> dict[str, Cell]:
    """The same for machines."""
    drifting = side.drifting
    row: dict[str, Cell] = {
        "what": str(drifting.what),
        "way": "up" if side.end > drifting.usual else "down",
        "unit": drifting.unit,
        "usual": drifting.usual,
        "tried_to": side.end,
    }
    return row | _edge_row(side.edge) | _edge_row(side.followed, "followed_")


def _edge_row(edge: Edge, prefix: str = "") -> dict[str, Cell]:
    return {
        f"{prefix}holds_to": edge.holds_to,
        f"{prefix}height_mm": edge.height_mm,
        f"{prefix}fails_at": edge.fails_at,
        f"{prefix}fails_by": "; ".join(edge.limits),
    }


def tolerance_table(found: Sequence[Side]) -> Table:
    """A row for each side."""
    return table_of([side_row(side) for side in found])


def tolerance_plot(found: Sequence[Side], kind: str) -> bytes:
    """A strip for each thing that drifts: where it holds, and what ends it."""
    if not found:
        return _empty(kind)
    by_what: dict[Drifting, list[Side]] = {}
    for side in found:
        by_what.setdefault(side.drifting, []).append(side)
    module = needed("matplotlib.figure", "plots", "a diagram")
    figure = module.Figure(figsize=(8, 0.9 * len(by_what) + 1.2), layout="constrained")
    axes = figure.subplots(len(by_what), 1, squeeze=False)[:, 0]
    for axis, (drifting, its) in zip(axes, by_what.items(), strict=True):
        _strip(axis, drifting, its)
    legends = (zip(*axis.get_legend_handles_labels(), strict=True) for axis in axes)
    handles = {label: handle for legend in legends for handle, label in legend}
    figure.legend(handles.values(), handles.keys(), loc="outside upper center", ncols=4, fontsize=7)
    return saved(figure, kind)


def _empty(kind: str) -> bytes:
    figure = needed("matplotlib.figure", "plots", "a diagram").Figure(figsize=(8, 1.2))
    figure.text(0.5, 0.5, "the message fails as it is: nothing may drift", ha="center", color=BAD)
    return saved(figure, kind)


def _strip(axis: Any, drifting: Drifting, its: Sequence[Side]) -> None:
    ends = [side.end for side in its] + [drifting.usual]
    room = max(ends) - min(ends)
    axis.set(xlim=(min(ends) - room * 0.03, max(ends) + room * 0.03), ylim=(-1, 1), yticks=[])
    for side in its:
        if side.followed != side.edge:
            label = "holds if the phase is followed"
            _bar(axis, drifting.usual, side.followed.holds_to, UNSURE, label)
        _bar(axis, drifting.usual, side.edge.holds_to, GOOD, "holds")
        nearest = side.followed if side.edge == side.followed else side.edge
        for edge in dict.fromkeys((nearest, side.followed)):
            if edge.fails_at is not None:
                axis.plot([edge.fails_at], [0], "x", color=BAD, ms=6, label="fails", ls="")
                axis.text(
                    edge.fails_at, 0.5, ", ".join(edge.limits), fontsize=6, color=BAD,
                    ha="left" if side.end > drifting.usual else "right", va="bottom",
                )  # fmt: skip
    axis.plot([drifting.usual], [0], "k|", ms=14, label="usual", ls="")
    axis.set_ylabel(f"{drifting.what},\n{drifting.unit}", rotation=0, ha="right", va="center",
                    fontsize=8)  # fmt: skip
    axis.tick_params(labelsize=7)


def _bar(axis: Any, start: float, end: float, colour: str, label: str) -> None:
    axis.barh([0], [end - start], left=[start], height=0.7, color=colour, label=label)
