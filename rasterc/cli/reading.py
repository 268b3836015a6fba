"""`rasterc reading`: how likely a print is misread, and which characters are at risk."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from rasterc.cli.common import (
    AtOption,
    FontsOption,
    JsonOption,
    MessageFile,
    MessageOption,
    Request,
    SetOption,
    reporting,
)
from rasterc.cli.pager import say_long

if TYPE_CHECKING:
    from rasterc.api import Print
    from rasterc.reading.model import Bracket
    from rasterc.reading.report import PairAtRisk, ReadingReport


def reading(
    file: MessageFile,
    at: AtOption = None,
    settings: SetOption = None,
    lost: Annotated[
        float, typer.Option("--lost", metavar="SHARE", help="Share of drops that are lost.")
    ] = 0.02,
    spread: Annotated[
        float,
        typer.Option(
            "--spread",
            metavar="PITCHES",
            help="How far drops land beside their places, as a standard deviation.",
        ),
    ] = 0.15,
    pairs: Annotated[int, typer.Option(min=0, help="How many pairs at risk to list.")] = 10,
    message: MessageOption = None,
    fonts: FontsOption = None,
    as_json: JsonOption = False,
) -> None:
    """Tell how likely a print is misread.

    That is when drops are lost or land beside their places.
    """
    from rasterc.reading.report import risk_report

    with reporting(as_json) as teller:
        request = Request(file, at, settings or (), None, message, fonts or ())
        prints = request.prints(teller)
        reports = [risk_report(p.resolved, p.code.fonts, p.code.plan, lost, spread) for p in prints]
        if as_json:
            from rasterc.cli.documents.reading import ReadingDocument

            documents = [_document(p, r, pairs) for p, r in zip(prints, reports, strict=True)]
            teller.document(ReadingDocument, {"messages": documents})
        else:
            found = zip(prints, reports, strict=True)
            say_long(*(_lines(printed, report, pairs) for printed, report in found))


def _lines(printed: Print, report: ReadingReport, pairs: int) -> list[str]:
    lines = [
        f"{printed.resolved.message.name}: fields misread, {report.loss:.1%} of the drops lost",
        f"  by a general reader         {_percent(report.general)}",
        f"  by one who counts drops     {_percent(report.lost)}",
        f"  moved by {report.spread:<4g} pitches too   {_percent(report.moved)}",
        "",
        *(
            f"  {line.text:<25} {_percent(line.general)}, counted {_percent(line.lost)}"
            for line in report.lines
        ),
    ]
    if report.pairs and pairs:
        lines += ["", "  pairs at risk              field         places   share of all     each"]
        lines += [f"  {_pair(pair)}" for pair in report.pairs[:pairs]]
    lines += [
        "",
        "The general reader sees a print blurred, as a camera does; its bracket runs from the",
        "likeliest mistakes to the sum of all, the others from ties read right to ties read",
        "wrong. Compare fonts and fields by them: how a print is read depends on much more.",
    ]
    return lines


def _pair(pair: PairAtRisk) -> str:
    name = f"{pair.printed} read as {pair.read_as} ({pair.font})"
    share = f"{pair.share:>12.1%} {pair.general * 100:>7.2g} %"
    return f"{name:<26} {pair.field:<13} {pair.places:>6}   {share}"


def _percent(chance: Bracket) -> str:
    """``0.012 to 0.034 %``."""
    return f"{chance.low * 100:.2g} to {chance.high * 100:.2g} %"


def _document(printed: Print, report: ReadingReport, pairs: int) -> dict[str, object]:
    def ends(chance: Bracket) -> dict[str, float]:
        return {"low": chance.low, "high": chance.high}

    return {
        "message": printed.resolved.message.name,
        "loss": report.loss,
        "spread": report.spread,
        "general": ends(report.general),
        "lost": ends(report.lost),
        "moved": ends(report.moved),
        "lines": [
            {
                "text": line.text,
                "general": ends(line.general),
                "lost": ends(line.lost),
                "moved": ends(line.moved),
            }
            for line in report.lines
        ],
        "pairs": [
            {
                "printed": pair.printed,
                "read_as": pair.read_as,
                "field": pair.field,
                "line": pair.span.line,
                "column": pair.span.column,
                "font": pair.font,
                "places": pair.places,
                "share": pair.share,
                "general": pair.general,
                "lost": ends(pair.lost),
            }
            for pair in report.pairs[:pairs]
        ],
    }
