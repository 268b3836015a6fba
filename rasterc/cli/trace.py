"""`rasterc trace`: a printed code back to what could have printed it."""

from __future__ import annotations

from datetime import UTC, datetime
from itertools import islice
from typing import TYPE_CHECKING, Annotated

import typer

from rasterc.cli.common import (
    EXIT_FINDINGS,
    JsonOption,
    MessageFile,
    MessageOption,
    print_json,
    reporting,
)
from rasterc.diagnostics import fail_on_errors

if TYPE_CHECKING:
    from rasterc.source.message import Counter
    from rasterc.tracing.trace import CounterRanges, Group, Match, TraceResult
    from rasterc.values.plan import Plan

_SHOWN = 20  # matches printed as text
_LISTED = 10_000  # matches in JSON

SinceOption = Annotated[
    str | None,
    typer.Option(
        "--from",
        metavar="DATE",
        help="The date, or date and time, to start at; the first of January, five years ago, "
        "when left out.",
        show_default=False,
    ),
]
YearsOption = Annotated[int, typer.Option("--years", metavar="N", help="How many years to look.")]


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
    since: SinceOption = None,
    years: YearsOption = 10,
    message: MessageOption = None,
    as_json: JsonOption = False,
) -> None:
    """Trace printed lines back to all that could have printed them; exit 1 when nothing could."""
    with reporting(as_json):
        from rasterc.source.load import load_message
        from rasterc.tracing.trace import trace as traced
        from rasterc.values import prepare

        plan, faults = prepare(load_message(file, message))
        fail_on_errors(faults)
        result = traced(plan, lines, start_of(since), years)
        print_json(_document(result, plan)) if as_json else print(_report(result, plan))
        if not len(result):
            raise typer.Exit(EXIT_FINDINGS)


def start_of(since: str | None) -> datetime:
    """Where to start; raises `InputError`. Without a date, from the clock of this computer."""
    from rasterc.api import parse_when

    return datetime(datetime.now(UTC).year - 5, 1, 1) if since is None else parse_when(since)


def _report(result: TraceResult, plan: Plan) -> str:
    if result.failure is not None:
        return "\n".join([f"{plan.message.name}: no match{_horizon(result)}", *_failed(result)])
    times = f"{len(result):,} time{'' if len(result) == 1 else 's'}"
    minutes = f"{result.minutes:,} minute{'' if result.minutes == 1 else 's'} in all"
    found = f"{times}, {minutes}" if result.zone else "a match"
    zone = f" ({result.zone.key})" if result.zone else ""
    out = [f"{plan.message.name}: {found}{_horizon(result)}{zone}"]
    shared = result.groups[0] if len(result.groups) == 1 else None
    if shared:
        out += [f"  {text}" for text in _values(shared, plan)]
    for match in islice(result.matches(), _SHOWN):
        values = [] if shared else _values(match, plan)
        out += [f"  {text}" for text in _beside(period(match.start, match.until), values)]
    if len(result) > _SHOWN:
        out.append(f"  and {len(result) - _SHOWN:,} more: --json lists up to {_LISTED:,}")
    if not result.verified:
        out.append("  too many possibilities to work out check characters: some may be wrong")
    return "\n".join(text for text in out if text.strip())


def _horizon(result: TraceResult) -> str:
    if result.start is None or result.until is None:
        return ""
    return f" from {result.start.date()} to {result.until.date()}"


def _failed(result: TraceResult) -> list[str]:
    failure = result.failure
    assert failure is not None
    out = []
    if failure.line >= 0:
        out.append(f"  {result.lines[failure.line]}")
        out += [f"  {' ' * failure.place}^"] if failure.place >= 0 else []
    return [*out, f"  {failure.message}"]


def _values(found: Match | Group, plan: Plan) -> list[str]:
    """Counters and inputs, one text for each."""
    counters = plan.message.counters
    return [
        *(f"{name} {_ranges(counters[name], parts)}" for name, parts in found.counters.items()),
        *(f"{name} {', '.join(map(_quoted, texts))}" for name, texts in found.inputs.items()),
    ]


def _quoted(text: str) -> str:
    return text if text == "..." else f'"{text}"'


def _ranges(counter: Counter, found: CounterRanges) -> str:
    shown = [_range(counter, part) for part in found.ranges[:_SHOWN]]
    more = found.more or len(found.ranges) > _SHOWN
    return ", ".join([*shown, *(["..."] if more else [])])


def _range(counter: Counter, part: range) -> str:
    from rasterc.values.counters import text_of

    first, last = text_of(counter, part[0]), text_of(counter, part[-1])
    if len(part) == 1:
        return first
    return f"{first} to {last}" + (f" in steps of {part.step}" if part.step > 1 else "")


def _beside(period: str, values: list[str]) -> list[str]:
    """The values beside the period, or below it when they are long."""
    line = "  ".join([period, *values])
    return [line] if len(line) <= 76 else [period, *(f"  {value}" for value in values)]


def period(start: datetime | None, until: datetime | None) -> str:
    """A stretch of minutes, its end not included: one moment when it is one minute long."""
    if start is None or until is None:
        return ""
    if (until - start).total_seconds() == 60:
        return clock_time(start)
    if until.date() == start.date():
        return f"{clock_time(start)} until {clock_time(until)[11:]}"
    return f"{clock_time(start)} until {clock_time(until)}"


def clock_time(moment: datetime) -> str:
    """Date and time; with the offset when the clock shows that time twice."""
    twice = moment.replace(fold=0).utcoffset() != moment.replace(fold=1).utcoffset()
    text = moment.isoformat(" ", "minutes")
    return text if twice else text[:16]


def _document(result: TraceResult, plan: Plan) -> dict[str, object]:
    failure = result.failure
    return {
        "message": plan.message.name,
        "lines": list(result.lines),
        "zone": result.zone.key if result.zone else None,
        "from": _iso(result.start),
        "until": _iso(result.until),
        "count": len(result),
        "minutes": result.minutes,
        "verified": result.verified,
        "matches": [_match(match) for match in islice(result.matches(), _LISTED)],
        "failure": None
        if failure is None
        else {"message": failure.message, "line": failure.line, "place": failure.place},
    }


def _match(match: Match) -> dict[str, object]:
    return {
        "from": _iso(match.start),
        "until": _iso(match.until),
        "counters": {
            name: [{"first": p[0], "last": p[-1], "step": p.step} for p in found.ranges]
            for name, found in match.counters.items()
        },
        "inputs": {name: list(texts) for name, texts in match.inputs.items()},
    }


def _iso(moment: datetime | None) -> str | None:
    return None if moment is None else moment.isoformat()
