"""`rasterc repeats`: how soon a code can print again."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from textwrap import wrap
from typing import TYPE_CHECKING, Annotated

import typer

from rasterc.cli.common import (
    EXIT_FINDINGS,
    FontsOption,
    JsonOption,
    MessageFile,
    MessageOption,
    Request,
    reporting,
)
from rasterc.cli.pager import say_long
from rasterc.cli.progress import working
from rasterc.cli.stretch import STRETCHES, FromOption, YearsOption, stretch
from rasterc.diagnostics import visible

if TYPE_CHECKING:
    from rasterc.extremes.model import Witness
    from rasterc.extremes.model_repeats import RepeatsReport
    from rasterc.extremes.shelf_life import ShelfLife


def repeats(
    file: MessageFile,
    fields: Annotated[
        list[str] | None,
        typer.Option(
            "--field",
            metavar="NAME",
            help="Only this field or text of the lines. May be repeated.",
            show_default=False,
        ),
    ] = None,
    shelf_life: Annotated[
        str | None,
        typer.Option(
            "--shelf-life",
            metavar="TIME",
            help='How long the product keeps, such as "18 months": exit 1 when the code comes '
            "again within it, or may do so.",
            show_default=False,
        ),
    ] = None,
    since: FromOption = None,
    years: YearsOption = STRETCHES["repeats"].years,
    message: MessageOption = None,
    fonts: FontsOption = None,
    as_json: JsonOption = False,
) -> None:
    """Find the shortest time until a code prints again.

    That is the whole code, or some of its fields. The time counts from the end of a run, the last
    moment at which a text can print, to the start of the next run of the same text. A counter that
    stops at its end prints no number twice until it restarts; inputs may be given again at any
    time.
    """
    with reporting(as_json) as teller:
        from rasterc.extremes.repeats import repeats as find
        from rasterc.extremes.shelf_life import read_shelf_life

        keeps = read_shelf_life(shelf_life) if shelf_life is not None else None
        when = stretch("repeats", since, years)
        codes = Request(file, None, (), None, message, fonts or ()).codes()
        with working() as doing:
            reports = [
                find(code.plan, when.start, when.years, fields=fields or (), progress=doing)
                for code in codes.values()
            ]
        if as_json:
            from rasterc.cli.documents.repeats import RepeatsDocument

            messages = [_document(report, keeps) for report in reports]
            teller.document(RepeatsDocument, {"messages": messages})
        else:
            say_long(*(list(_lines(report, keeps)) for report in reports))
        if not all(_is_clear(report, keeps) for report in reports):
            raise typer.Exit(EXIT_FINDINGS)


def _is_clear(report: RepeatsReport, keeps: ShelfLife | None) -> bool:
    """Whether nothing is known or left open that could print again within the shelf life."""
    return keeps is None or report.verdict(keeps.longest) == "not within"


def _document(report: RepeatsReport, keeps: ShelfLife | None) -> dict[str, object]:
    verdict = None if keeps is None else str(report.verdict(keeps.longest))
    return {**report.as_dict(), "shelf_life": str(keeps or "") or None, "verdict": verdict}


def _lines(report: RepeatsReport, keeps: ShelfLife | None) -> Iterator[str]:
    what = ", ".join(report.fields) or "the whole code"
    yield from _wrapped(f"{report.message}, {what}: {_answer(report)}")
    if report.first and report.last and report.again and not report.always:
        yield from (f"    {line}" for line in report.first.lines)
        yield f"  prints from   {report.first.said}"
        yield f"  last prints   {report.last.said}"
        yield f"  prints again  {report.again.said}"
    for each in report.rounds:
        prints = f"{each.prints:,} print{'' if each.prints == 1 else 's'}"
        after = f"after {prints}" if each.exact else f"after {prints} or more"
        said = f"counter {each.counter} {each.why}: numbers come again {after}"
        yield from _wrapped(f"  {said}")
    if report.why:
        yield from _wrapped(f"  {_may_be(report)}: {report.why}")
    if keeps is not None:
        yield from _wrapped(f"  {_within(report, keeps)}")


def _may_be(report: RepeatsReport) -> str:
    """How much sooner it may be than what was found."""
    if not report.no_sooner:
        return "it may be sooner"
    return f"it may be sooner, {_said(report.no_sooner)} at the least"


def _within(report: RepeatsReport, keeps: ShelfLife) -> str:
    verdict = report.verdict(keeps.longest)
    if verdict != "cannot say":
        return f"{verdict} the shelf life of {keeps}"
    said = f"cannot say whether within the shelf life of {keeps}"
    return said if report.why else f"{said}: how fast prints come is not known"


def _answer(report: RepeatsReport) -> str:
    if report.never:
        return f"never prints again: {report.never}"
    if report.always:
        return "nothing in it changes with time, the same text prints at all times"
    if report.gap is None and not report.exact:
        return "how soon it prints again cannot be told"
    if report.gap is None:
        return f"does not print again before {report.end.date()}"
    if not report.gap:
        return "prints again at once"
    return f"prints again {_said(report.gap)} after it last printed{_between(report)}"


def _said(gap: timedelta) -> str:
    """A time in its two largest units: "363 days 23 hours"."""
    hours, rest = divmod(gap.seconds, 3600)
    parts = [(gap.days, "day"), (hours, "hour"), (rest // 60, "minute"), (rest % 60, "second")]
    said = [f"{number:,} {unit}{'' if number == 1 else 's'}" for number, unit in parts if number]
    return " ".join(said[:2])


def _between(report: RepeatsReport) -> str:
    """The years between two starts at the same date and time, when there are any."""
    first, again = _wall(report.first), _wall(report.again)
    if first is None or again is None or first[4:] != again[4:] or first == again:
        return ""
    years = int(again[:4]) - int(first[:4])
    return f" ({years} year{'' if years == 1 else 's'} from start to start)"


def _wall(witness: Witness | None) -> str | None:
    """Wall time as ISO 8601 text."""
    when = witness.instant.when if witness else None
    return when.replace(tzinfo=None).isoformat() if when else None


def _wrapped(text: str) -> list[str]:
    return wrap(visible(text), 78, subsequent_indent="  ")
