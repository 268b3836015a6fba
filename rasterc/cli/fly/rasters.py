"""What `rasterc fly --compare rasters` works out: each raster in each firing order, weighed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import partial

from msgspec import structs

from rasterc.api import Print, load_text
from rasterc.cli.fly.flights import Flyer, Outcome, Subject, drawn, subject_of
from rasterc.head.model import head_model
from rasterc.output.flights.landings import landed_panel
from rasterc.output.flights.rasters import advice, heading_lines, price, rival_row, rival_table
from rasterc.output.flights.tables import table_of
from rasterc.output.flights.text import wrapped
from rasterc.profile.model import LineProfile, RasterTiming
from rasterc.reading.model import LOSS, Bracket, any_of
from rasterc.reading.report import risk_report
from rasterc.source.quoting import quoted
from rasterc.sweep.case import fly_case, worst_of
from rasterc.sweep.judge import holds, rounded_down
from rasterc.sweep.model import Band, Job
from rasterc.sweep.rivals import (
    Rival,
    fastest_m_s,
    firing_cases,
    follow_part,
    height_part,
    own_order,
    pitched,
    ranked,
    reached,
    reading_spread,
)

FONT_ROWS = (16, 12, 9, 7, 5)  # the upright fonts that come with rasterc


class Equal(StrEnum):
    """What is the same for all rasters that are compared."""

    HEIGHT = "height"
    SPEED = "speed"


@dataclass(frozen=True, slots=True)
class _Setting:
    """Lines set on a raster, with pitches that suit them."""

    raster: RasterTiming
    font_rows: int
    printed: Print
    job: Job


def compare_rasters(subject: Subject, equal: Equal, flyer: Flyer) -> Outcome:
    """The lines of the message on every raster of the profile that carries them.

    And with one line more, which is the longest said twice.
    """
    lines = subject.printed.lines
    more = (*lines, max(lines, key=len))
    given = ranked(subject.job.speed_m_s, _rivals(subject, lines, equal, flyer))
    added = ranked(subject.job.speed_m_s, _rivals(subject, more, equal, flyer))
    wanted = subject.job.speed_m_s
    table = table_of([rival_row(rival) for rival in (*given, *added)])
    best = given[0] if given and holds(given[0].job, given[0].band) else None
    told = [advice(given, wanted), price(given, added)]
    said = [
        *heading_lines(equal is Equal.HEIGHT, subject.job),
        *rival_table(given),
        *(["", "  with one line more:", *rival_table(added)] if added else []),
        "",
        *map(wrapped, told),
    ]
    return Outcome(
        said,
        {"rasters": table.as_dicts(), "equal": str(equal), "advice": told},
        table,
        partial(_picture, (*given, *added)),
        best is None,
    )


def _picture(rivals: Sequence[Rival], kind: str) -> bytes:
    """The best firing order of each raster, as it lands under the worst wake."""
    best: dict[tuple[int, int], Rival] = {}
    for rival in rivals:
        best.setdefault((rival.job.raster.drops, rival.lines), rival)
    panels = [
        landed_panel(r.name, r.job, worst_of(r.job, fly_case(r.job, r.case))) for r in best.values()
    ]
    return drawn(panels, 1, kind)


def _rivals(subject: Subject, lines: Sequence[str], equal: Equal, flyer: Flyer) -> Iterator[Rival]:
    for raster in sorted(subject.profile.rasters, key=lambda r: r.drops):
        fits = (rows for rows in FONT_ROWS if len(lines) * (rows + 1) - 1 <= raster.drops)
        rows = next(fits, None)
        if rows is not None:
            setting = _setting(subject, raster, rows, lines, equal)
            yield from _in_each_order(setting, lines, flyer)


def _setting(
    subject: Subject, raster: RasterTiming, rows: int, lines: Sequence[str], equal: Equal
) -> _Setting:
    """The lines on a raster, as high as now; or as much higher as it takes to follow the line."""
    job, printed = subject.job, _set(lines, raster.drops, rows)
    profile = pitched(subject.profile, raster, height_part(rows, job.character_rows))
    speed = job.speed_m_s
    if equal is Equal.SPEED:
        profile = pitched(profile, raster, follow_part(profile, raster, speed))
    else:
        speed = min(speed, rounded_down(fastest_m_s(profile, raster)))
    set_job = structs.replace(_job(printed, profile, speed), character_rows=rows)
    return _Setting(raster, rows, printed, set_job)


def _job(printed: Print, profile: LineProfile, speed_m_s: float) -> Job:
    return subject_of(printed, profile, speed_m_s).job


def _set(lines: Sequence[str], drops: int, rows: int) -> Print:
    """Lines in the demo font of so many rows, stacked on a raster."""
    said = " ".join(f"line: {quoted(line)}" for line in lines)
    source = f"message compared {{ raster {drops} font upright-{rows} block {{ {said} }} }}"
    return load_text(source, name="the compared text").resolve()


def _in_each_order(setting: _Setting, lines: Sequence[str], flyer: Flyer) -> Iterator[Rival]:
    job = setting.job
    cases = firing_cases(job)
    found = flyer(job, list(cases.values()))
    drops = sum(column.bit_count() for column in job.columns)
    characters = sum(len(line.replace(" ", "")) for line in lines)
    for name, case in cases.items():
        band = found[case]
        rival = Rival(
            job=job,
            case=case,
            band=band,
            order=name,
            own=name == own_order(job),
            lines=len(lines),
            font_rows=setting.font_rows,
            follows_m_s=fastest_m_s(job.profile, setting.raster),
            reached_m_s=None,
            drops=drops,
            characters=max(characters, 1),
            ink_ug=drops * head_model(job.profile).drop_mass_kg * 1e9,
            misread=_misread(setting, job, band),
        )
        yield replace(rival, reached_m_s=reached(rival, flyer))


def _misread(setting: _Setting, job: Job, band: Band) -> Bracket | None:
    """The chance that some character is misread, each against all capitals and digits.

    None where drops scatter so far that the model of reading does not reach.
    """
    spread = reading_spread(job, band)
    if spread is None:
        return None
    code = setting.printed.code
    report = risk_report(setting.printed.resolved, code.fonts, code.plan, LOSS, spread)
    return any_of(place.moved for line in report.lines for place in line.places)
