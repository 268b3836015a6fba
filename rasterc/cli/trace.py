"""`rasterc trace`: a printed code back to what could have printed it."""

from __future__ import annotations

from itertools import islice
from typing import TYPE_CHECKING, Annotated

import typer

from rasterc.cli.common import (
    EXIT_FINDINGS,
    JsonOption,
    MessageFile,
    MessageOption,
    reporting,
)
from rasterc.cli.matches import match_lines, match_part, values_of, wrapped
from rasterc.cli.pager import say_long
from rasterc.cli.progress import working
from rasterc.cli.stretch import STRETCHES, FromYearsAgoOption, YearsOption, stretch
from rasterc.cli.times import iso

if TYPE_CHECKING:
    from rasterc.tracing.matches import TraceResult
    from rasterc.values.plan import Plan

_SHOWN = 20  # matches printed as text
_LISTED = 10_000  # matches in JSON


def trace(
    file: MessageFile,
    lines: Annotated[
        list[str],
        typer.Option(
            "--line",
            metavar="TEXT",
            help="A line as read, ? for each character that could not be, * alone for a whole "
            "line. Repeat it for each line, top to bottom.",
            show_default=False,
        ),
    ],
    since: FromYearsAgoOption = None,
    years: YearsOption = STRETCHES["trace"].years,
    message: MessageOption = None,
    as_json: JsonOption = False,
) -> None:
    """Trace printed lines back to all that could print them.

    Exits with 1 when nothing could.
    """
    with reporting(as_json) as teller:
        from rasterc.loading import load_plan
        from rasterc.tracing.trace import trace as traced

        when = stretch("trace", since, years)
        plan = load_plan(file, message)
        with working() as doing:
            result = traced(plan, lines, when.start, when.years, doing)
        if as_json:
            from rasterc.cli.documents.trace import TraceDocument

            teller.document(TraceDocument, _document(result, plan))
        else:
            say_long(_report(result, plan))
        if not len(result):
            raise typer.Exit(EXIT_FINDINGS)


def _report(result: TraceResult, plan: Plan) -> list[str]:
    if result.failure is not None:
        return [f"{plan.message.name}: no match", *_searched(result), *_failed(result)]
    out = [f"{plan.message.name}: {_found(result)}", *_searched(result)]
    shared = result.groups[0] if len(result.groups) == 1 else None
    if shared:
        out += [
            line for text in values_of(shared, plan.message.counters) for line in wrapped(text, 2)
        ]
    for match in islice(result.matches(), _SHOWN):
        out += match_lines(match, [] if shared else values_of(match, plan.message.counters))
    if len(result) > _SHOWN:
        out.append(f"  and {len(result) - _SHOWN:,} more: --json lists up to {_LISTED:,}")
    if not result.verified:
        out.append("  too many possibilities to work out check characters: some may be wrong")
    return out


def _found(result: TraceResult) -> str:
    if result.zone is None:
        return "can have been printed"
    times = f"{len(result):,} time{'' if len(result) == 1 else 's'}"
    return f"{times}, {result.minutes:,} minute{'' if result.minutes == 1 else 's'} in all"


def _searched(result: TraceResult) -> list[str]:
    if result.start is None or result.until is None or result.zone is None:
        return []
    return [f"  searched {result.start.date()} to {result.until.date()}, {result.zone.key}"]


def _failed(result: TraceResult) -> list[str]:
    failure = result.failure
    assert failure is not None
    out = []
    if failure.line >= 0:
        out.append(f"  {result.lines[failure.line]}")
        out += [f"  {' ' * failure.place}^"] if failure.place >= 0 else []
    return [*out, *wrapped(failure.message, 2)]


def _document(result: TraceResult, plan: Plan) -> dict[str, object]:
    failure = result.failure
    return {
        "message": plan.message.name,
        "lines": list(result.lines),
        "zone": result.zone.key if result.zone else None,
        "from": iso(result.start),
        "until": iso(result.until),
        "count": len(result),
        "minutes": result.minutes,
        "verified": result.verified,
        "matches": [match_part(match) for match in islice(result.matches(), _LISTED)],
        "failure": None
        if failure is None
        else {"message": failure.message, "line": failure.line, "place": failure.place},
    }
