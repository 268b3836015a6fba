"""`rasterc extremes`: the worst a message can come to, over all its values."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rasterc.cli import complete
from rasterc.cli.common import (
    EXIT_FINDINGS,
    FontsOption,
    JsonOption,
    MessageFile,
    MessageOption,
    ProfileOption,
    Request,
    reporting,
)
from rasterc.cli.pager import say_long
from rasterc.cli.progress import working
from rasterc.cli.stretch import STRETCHES, FromOption, YearsOption, stretch
from rasterc.diagnostics import visible
from rasterc.files import make_folder

if TYPE_CHECKING:
    from rasterc.api import Code
    from rasterc.domain.progress import Progress
    from rasterc.extremes.model import Extreme, ExtremesReport, Witness
    from rasterc.profile.model import LineProfile
    from rasterc.reading.chances import GeneralRisk

_TITLE = 34  # columns of titles


def extremes(
    file: MessageFile,
    since: FromOption = None,
    years: YearsOption = STRETCHES["extremes"].years,
    profile: ProfileOption = None,
    window: Annotated[
        int, typer.Option("--window", metavar="W", help="Strokes of the densest window.")
    ] = 20,
    lost: Annotated[
        float, typer.Option("--lost", metavar="SHARE", help="Lost drops, for the misread risk.")
    ] = 0.02,
    measures: Annotated[
        list[str] | None,
        typer.Option(
            "--measure",
            metavar="NAME",
            help="Only this one, such as longest or most-drops. May be repeated.",
            show_default=False,
            autocompletion=complete.measures,
        ),
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option(
            "--out", metavar="FOLDER", help="Write a picture of each one.", show_default=False
        ),
    ] = None,
    message: MessageOption = None,
    fonts: FontsOption = None,
    as_json: JsonOption = False,
) -> None:
    """Find the longest, densest, riskiest codes of all.

    Exits with 1 when some values cannot be printed. Every minute of the years is looked at with
    every counter, input and choice. Each result comes with the first values that give it; where it
    is only a bound, that is said.
    """
    with reporting(as_json) as teller:
        request = Request(file, None, (), profile, message, fonts or ())
        codes, line_profile = request.codes_and_profile()
        when = stretch("extremes", since, years)
        wanted = _Wanted(when.start, when.years, window, lost, tuple(measures or ()))
        reports: list[ExtremesReport] = []
        if out is not None:
            make_folder(out)
        for code in codes.values():
            with working() as doing:
                reports.append(_report(code, wanted, line_profile, doing))
            if out is not None:
                _draw(code, reports[-1], out, line_profile)
        if as_json:
            from rasterc.cli.documents.extremes import ExtremesDocument

            messages = [report.as_dict() for report in reports]
            teller.document(ExtremesDocument, {"messages": messages})
        else:
            say_long(*(list(_lines(report, bool(measures))) for report in reports))
        if any(report.faults for report in reports):
            raise typer.Exit(EXIT_FINDINGS)


@dataclass(frozen=True, slots=True)
class _Wanted:
    """What to look at: the years, strokes of a window, the share of lost drops, which measures."""

    start: datetime
    years: int
    window: int
    lost: float
    measures: tuple[str, ...]


def _report(
    code: Code, wanted: _Wanted, profile: LineProfile | None, doing: Progress
) -> ExtremesReport:
    from rasterc.extremes.report import extremes as find

    return find(
        code.plan,
        code.fonts,
        wanted.start,
        wanted.years,
        profile=profile,
        window=wanted.window,
        loss=wanted.lost,
        measures=wanted.measures,
        composer=code.composer,
        progress=doing,
    )


def _lines(report: ExtremesReport, measures_only: bool) -> Iterator[str]:
    yield f"{report.message}: {report.start.date()} until {report.end.date()}"
    yield f"  every minute and every value: {report.strings.said} strings"
    yield from (f"  note: {note}" for note in report.notes)
    for extreme in report.extremes:
        if not report.is_steady(extreme):
            yield ""
            yield from _extreme(extreme)
    yield from _steady(report)
    if not measures_only:
        yield from _dates_and_edges(report)
    if report.faults:
        yield from ("", f"some values cannot be printed ({len(report.faults)} found)")
        yield from (line for fault in report.faults for line in fault.lines())


def _steady(report: ExtremesReport) -> Iterator[str]:
    """The measures that are the same for every value, a line for each."""
    lines = {e.measure: _value(e) for e in report.extremes if report.is_steady(e)}
    if lines:
        yield from ("", "the same for every value")
    yield from (f"  {measure:{_TITLE - 2}}{value}" for measure, value in lines.items())


def _value(extreme: Extreme) -> str:
    low = "" if extreme.low is None else f"{extreme.low:.3g} to "
    digits = ".3g" if extreme.low is not None or extreme.unit.startswith("%") else ",.9g"
    value = f"{low}{extreme.value:{digits}} {extreme.unit}"
    if extreme.converted is None:
        return value
    return f"{value}, {extreme.converted[0]:.4g} {extreme.converted[1]}"


def _extreme(extreme: Extreme) -> Iterator[str]:
    yield f"{extreme.title:{_TITLE}}{extreme.bound}{_value(extreme)}"
    if not extreme.exact:
        yield from (f"  {part}" for part in _wrapped(f"a bound: {extreme.why}"))
    if extreme.at_witness is not None:
        yield f"  the values below come to {extreme.at_witness:,.9g}"
    if extreme.first is not None:
        yield f"  from stroke {extreme.first} on"
    if extreme.general is not None:
        yield from _general(extreme.general)
    yield from _witness(extreme.witness)


def _general(risk: GeneralRisk) -> Iterator[str]:
    """What a general reader makes of the values that follow."""
    ends = f"{100 * risk.chance.low:.2g} to {100 * risk.chance.high:.2g} %"
    pairs = (f", {p.printed} read as {p.read_as} {100 * p.chance:.2g} %" for p in risk.pairs)
    yield from (f"  {part}" for part in _wrapped(f"by a general reader {ends}{''.join(pairs)}"))


def _wrapped(text: str) -> list[str]:
    from textwrap import wrap

    return wrap(visible(text), 76)


def _witness(witness: Witness) -> Iterator[str]:
    yield from (f"    {line}" for line in witness.lines)
    yield f"  at {witness.said}"


def _dates_and_edges(report: ExtremesReport) -> Iterator[str]:
    if report.dates:
        yield from ("", "dates printed")
    for dates in report.dates:
        yield f"  {dates.field:{_TITLE - 2}}{dates.first} to {dates.last}"
    if report.edges:
        yield from ("", "instants worth a look")
    for edge in report.edges:
        yield f"  {edge.name}: {edge.witness.said}"
        yield from (f"    {line}" for line in edge.witness.lines)


def _draw(code: Code, report: ExtremesReport, folder: Path, profile: LineProfile | None) -> None:
    """A picture of the witness of each extreme that can be printed."""
    from rasterc.diagnostics import InputError
    from rasterc.output.code.at_speed import geometry_at
    from rasterc.output.code.geometry import Drawing
    from rasterc.output.code.write import write_strokes

    for extreme in report.extremes:
        printed = code.resolve_at(extreme.witness.instant)
        try:
            strokes = printed.strokes(profile)
        except InputError:
            continue  # reported among the values that cannot be printed
        drawing = Drawing(geometry_at(profile, strokes), title=" / ".join(printed.lines))
        path = folder / f"{report.message}-{extreme.name}.png"
        write_strokes(path, strokes, drawing, printed.resolved)
