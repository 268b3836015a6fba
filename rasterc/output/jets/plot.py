"""A head's window as a diagram, by matplotlib (extra ``plots``)."""

from __future__ import annotations

from typing import Any

from rasterc.head.jet_map import JetMap
from rasterc.output.flights.plots import saved
from rasterc.sweep.extras import needed

KINDS = {
    "fine": ("within every bound", "#8fc79a"),
    "satellites": ("satellites more likely", "#d9e8a3"),
    "wind": ("wind or turbulence", "#b9cbe8"),
    "breakup-place": ("breakup outside the tunnel or near its end", "#f0b07a"),
    "no-charge-window": ("no charge window", "#c8a2d6"),
    "no-breakup": ("no jet that breaks up", "#8a8a8a"),
}
SAME = {"turbulent": "wind", "drips": "no-breakup"}
WORST_FIRST = ("no-breakup", "no-charge-window", "breakup-place", "wind", "satellites")


def jet_map_plot(found: JetMap, usual: tuple[float, float], kind: str) -> bytes:
    """What holds by viscosity and pressure, a panel for each modulation.

    Lines are lengths of the unbroken jet in mm; the cross is the profile's own place (mPa s, kPa).
    """
    figures = needed("matplotlib.figure", "plots", "a diagram")
    count = len(found.modulations)
    columns = min(count, 2)
    rows = -(-count // columns)
    figure = figures.Figure(figsize=(5.2 * columns, 4.0 * rows + 1.2), layout="constrained")
    axes = figure.subplots(rows, columns, squeeze=False, sharex=True, sharey=True).ravel()
    for axis, part in zip(axes, found.modulations, strict=False):
        _panel(axis, found, part, usual)
    for axis in axes[count:]:
        axis.set_visible(False)
    patches = needed("matplotlib.patches", "plots", "a diagram")
    legend = [patches.Patch(color=colour, label=words) for words, colour in KINDS.values()]
    lines = needed("matplotlib.lines", "plots", "a diagram")
    cross = lines.Line2D([], [], marker="x", color="black", ls="", label="as the profile has them")
    length = lines.Line2D([], [], color="#333333", lw=0.7, label="mm from nozzle to breakup")
    figure.legend(handles=[*legend, cross, length], loc="outside upper center", ncols=2, fontsize=8)
    return saved(figure, kind)


def _panel(axis: Any, found: JetMap, part: float, usual: tuple[float, float]) -> None:
    colors = needed("matplotlib.colors", "plots", "a diagram")
    names = list(KINDS)
    mus, pressures = found.viscosities_mpa_s, found.pressures_kpa
    kinds = [[names.index(_worst(found.broken[part, p, mu])) for mu in mus] for p in pressures]
    palette = colors.ListedColormap([colour for _, colour in KINDS.values()])
    axis.pcolormesh(
        mus, pressures, kinds, cmap=palette, vmin=-0.5, vmax=len(names) - 0.5, shading="nearest"
    )
    lengths = [[_length_mm(found, (part, p, mu)) for mu in mus] for p in pressures]
    if len(mus) > 1 and len(pressures) > 1:
        lines = axis.contour(mus, pressures, lengths, levels=8, colors="#333333", linewidths=0.7)
        axis.clabel(lines, fmt="%g mm", fontsize=7)
    axis.plot(*usual, "x", color="black", ms=9, mew=2)
    axis.set_xscale("log")
    axis.xaxis.set_major_formatter("{x:g}")
    axis.xaxis.set_minor_formatter("{x:g}")
    axis.tick_params(axis="x", which="minor", labelsize=7, labelbottom=True)
    axis.tick_params(labelbottom=True, labelleft=True)
    axis.set(title=f"modulation {part:g} of the radius")
    axis.set_xlabel("viscosity, mPa s")
    axis.set_ylabel("pressure, kPa")


def _worst(broken: tuple[str, ...]) -> str:
    kinds = {SAME.get(code, code) for code in broken}
    return next((kind for kind in WORST_FIRST if kind in kinds), "fine")


def _length_mm(found: JetMap, at: tuple[float, float, float]) -> float:
    state = found.states[at]
    usable = state is not None and state.growth_per_s > 0
    return state.breakup_m * 1e3 if state is not None and usable else float("nan")
