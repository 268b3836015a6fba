"""Rasters and firing orders weighed against each other, in words and as a table."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from rasterc.output.flights.tables import Cell, figures_row
from rasterc.output.flights.text import SHORT, number, table, wrapped
from rasterc.reading.model import LOSS, Bracket
from rasterc.sweep.judge import band_failures, holds, verdict
from rasterc.sweep.model import Job
from rasterc.sweep.rivals import READS_WELL, Rival


def heading_lines(equal_height: bool, job: Job) -> list[str]:
    """What is the same for all, and what the columns tell."""
    speed = f"{job.speed_m_s:g} m/s"
    same = (
        f"capitals as high as now; flown at {speed}, or as fast as the raster follows"
        if equal_height
        else f"all at {speed}; capitals as high as now, or as much higher as it takes to follow"
    )
    columns = (
        "reaches: the fastest line flown at which the code holds, m/s, up to what the raster "
        "follows; high: capitals, mm; misread: chance that some character of the code is, at most, "
        f"when {LOSS * 100:g} % of the drops are lost and all scatter, against capitals and "
        "digits; off: worst placement error, pitches; apart: drop diameters in flight; all by the "
        "worst of all wakes, best first"
    )
    return [wrapped(same), wrapped(columns), ""]


def rival_table(rivals: Sequence[Rival]) -> list[str]:
    """Rows by raster, in the order in which the first of each stands."""
    first = {raster: k for k, raster in reversed([*enumerate(r.job.raster.drops for r in rivals)])}
    by_raster = sorted(rivals, key=lambda r: first[r.job.raster.drops])
    rows = [["", "reaches", "high", "misread", "off", "apart", "holds"]]
    headings = {}
    for _, group in groupby(by_raster, key=lambda r: r.job.raster.drops):
        members = list(group)
        headings[len(rows)] = _raster_heading(members[0])
        rows += [_row(rival) for rival in members]
    lines = table(rows)
    return [
        line
        for k, row in enumerate(lines)
        for line in ([wrapped(headings[k])] if k in headings else []) + [row]
    ]


def _raster_heading(rival: Rival) -> str:
    raster, many = rival.job.raster, "line" if rival.lines == 1 else "lines"
    return (
        f"raster {raster.drops}, guard drops {raster.guard_drops}, {rival.lines} {many} of "
        f"{rival.font_rows}: follows {rival.follows_m_s:.3g} m/s; "
        f"{rival.drops / rival.characters:.3g} drops a character, {rival.ink_ug:.3g} ug a code"
    )


def _row(rival: Rival) -> list[str]:
    worst = rival.band.worst
    return [
        f"  {rival.order}" + (", own" if rival.own else ""),
        "-" if rival.reached_m_s is None else f"{rival.reached_m_s:.3g}",
        number(worst.height_mm, 2),
        _percent(rival.misread),
        number(worst.worst_pitches, 2),
        number(worst.near, 2),
        SHORT[verdict(rival.job, rival.band)],
    ]


def _percent(chance: Bracket | None) -> str:
    if chance is None:
        return "-"
    return "< 0.001 %" if chance.high < 1e-5 else f"{chance.high * 100:.2g} %"


def rival_row(rival: Rival) -> dict[str, Cell]:
    """The same for machines."""
    raster, misread = rival.job.raster, rival.misread
    said: dict[str, Cell] = {
        "raster": raster.drops,
        "guard_drops": raster.guard_drops,
        "firing": rival.order,
        "own_firing": rival.own,
        "lines": rival.lines,
        "font_rows": rival.font_rows,
        "fastest_m_s": rival.follows_m_s,
        "reached_m_s": rival.reached_m_s,
        "drops": rival.drops,
        "drops_per_character": rival.drops / rival.characters,
        "ink_ug": rival.ink_ug,
        "misread_low": None if misread is None else misread.low,
        "misread_high": None if misread is None else misread.high,
    }
    return said | figures_row(rival.job, rival.case, rival.band)


def _good(rivals: Sequence[Rival]) -> list[Rival]:
    return [rival for rival in rivals if holds(rival.job, rival.band)]


def advice(rivals: Sequence[Rival], wanted_m_s: float) -> str:
    """Which to take, and why; and which is faster."""
    good = _good(rivals)
    if not rivals:
        return "no raster of the profile is high enough for these lines"
    if not good:
        near = rivals[0]
        failed = ", ".join(band_failures(near.job, near.band))
        return f"none holds under all wakes; least is wrong with {near.name}: {failed}"
    best, fit = good[0], [r for r in good if (r.reached_m_s or 0) >= wanted_m_s]
    if not fit:
        return (
            f"none follows {wanted_m_s:g} m/s at this height; take {best.name}: of the {len(good)} "
            f"that hold under all wakes it reaches the fastest line, {_reach(best)}"
        )
    return "; ".join(
        [
            f"take {best.name}: of the {len(fit)} that hold under all wakes at {wanted_m_s:g} m/s "
            f"{_why(best)}",
            *_others(best, fit),
        ]
    )


def _why(best: Rival) -> str:
    if best.misread is not None and best.misread.high <= READS_WELL:
        return (
            f"and are misread at most {READS_WELL * 100:g} % of the time it takes the least ink, "
            f"{best.ink_ug:.3g} ug a code, with the least error ({_percent(best.misread)} misread)"
        )
    return f"it is misread least ({_percent(best.misread)})"


def _others(best: Rival, fit: Sequence[Rival]) -> list[str]:
    """What is faster, or reads better still, than the best."""
    said = []
    fastest = max(fit, key=lambda r: r.reached_m_s or 0)
    if (fastest.reached_m_s or 0) > (best.reached_m_s or 0):
        said.append(
            f"it reaches {_reach(best)}; for a faster line {fastest.name}, up to "
            f"{_reach(fastest)}, misread {_percent(fastest.misread)}"
        )
    clearest = min(fit, key=lambda r: 1.0 if r.misread is None else r.misread.high)
    if _percent(clearest.misread) != _percent(best.misread):
        said.append(
            f"{clearest.name} is misread less yet ({_percent(clearest.misread)}), with "
            f"{clearest.ink_ug:.3g} ug of ink, and reaches {_reach(clearest)}"
        )
    return said


def _reach(rival: Rival) -> str:
    return f"{rival.reached_m_s:.3g} m/s"


def price(given: Sequence[Rival], added: Sequence[Rival]) -> str:
    """What one line more costs: the best with it against the best without."""
    now, then = next(iter(_good(given)), None), next(iter(_good(added)), None)
    if now is None or then is None:
        why = "" if added else ": none is high enough"
        return f"one line more: no raster of the profile carries it under all wakes{why}"
    return (
        f"one line more takes {then.name}: it reaches {_reach(then)} instead of {_reach(now)}, "
        f"takes {then.ink_ug:.3g} ug of ink instead of {now.ink_ug:.3g}, is misread at most "
        f"{_percent(then.misread)} instead of {_percent(now.misread)} and stands "
        f"{number(then.band.worst.height_mm, 2)} mm high instead of "
        f"{number(now.band.worst.height_mm, 2)}"
    )
