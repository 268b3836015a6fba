"""`rasterc check`: hold messages against every rule."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rasterc.cli.common import (
    EXIT_BAD_INPUT,
    EXIT_FINDINGS,
    AtOption,
    FontsOption,
    JsonOption,
    MessageOption,
    ProfileOption,
    Request,
    SetOption,
    reporting,
)
from rasterc.cli.reports import ReportFiles
from rasterc.cli.say import say, tell
from rasterc.cli.times import at_moment
from rasterc.diagnostics import InputError, Severity
from rasterc.files import is_folder

if TYPE_CHECKING:
    from rasterc.cli.checked import Checked, Outcome
    from rasterc.cli.say import Teller
    from rasterc.profile.model import LineProfile

MAX_YEARS = 50


def check(
    file: Annotated[
        Path, typer.Argument(help="A message file; with --all also a folder.", show_default=False)
    ],
    at: AtOption = None,
    settings: SetOption = None,
    profile: ProfileOption = None,
    message: MessageOption = None,
    fonts: FontsOption = None,
    everything: Annotated[
        bool,
        typer.Option("--all", help="Check at every edge: ends of months, clock changes, shifts."),
    ] = False,
    years: Annotated[int, typer.Option("--years", help="How far --all looks ahead.")] = 5,
    sarif: Annotated[
        Path | None,
        typer.Option("--sarif", metavar="FILE", help="Write SARIF 2.1.0.", show_default=False),
    ] = None,
    junit: Annotated[
        Path | None,
        typer.Option("--junit", metavar="FILE", help="Write JUnit XML.", show_default=False),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Check messages, their own examples and limits.

    At an instant, or with --all at every edge. What is in order is checked even when other files
    or messages cannot be read; the exit code is 2 then.
    """
    with reporting(as_json) as teller:
        from rasterc.cli.checked import look, write_reports

        request = Request(file, at, settings or (), profile, message, fonts or ())
        reports = ReportFiles(sarif, junit)
        reports.check()
        line_profile = request.line_profile()
        _refuse(file, everything, years)
        outcome = look(request, line_profile, years if everything else None, teller)
        write_reports(outcome, line_profile, reports)
        _print_json(outcome, line_profile, teller) if as_json else _print(outcome, line_profile)
        if outcome.broken:
            raise typer.Exit(EXIT_BAD_INPUT)
        if _fails(outcome.checked):
            raise typer.Exit(EXIT_FINDINGS)


def _refuse(file: Path, everything: bool, years: int) -> None:
    """Refuse a folder at one instant, and years out of range; raises `InputError`."""
    if is_folder(file) and not everything:
        help = "give --all to check every message in it, or name one file"
        raise InputError.one("is-a-folder", f"{file} is a folder", help=help)
    if not 1 <= years <= MAX_YEARS:
        raise InputError.one(
            "bad-option", f"--years {years} is not possible", help=f"give 1 to {MAX_YEARS} years"
        )


def _print(outcome: Outcome, profile: LineProfile | None) -> None:
    """What was found on standard output, what cannot be checked on standard error."""
    for index, one in enumerate(outcome.checked):
        say(*[""] * bool(index), *_report(one, profile))
    for fault in outcome.faults():
        tell(*fault.lines())


def _print_json(outcome: Outcome, profile: LineProfile | None, teller: Teller) -> None:
    from rasterc.cli.documents.check import CheckDocument

    messages = [_document(one, profile) for one in outcome.checked]
    faults = [fault.as_dict() for fault in outcome.faults()]
    teller.document(CheckDocument, {"messages": messages, "diagnostics": faults})


def _fails(checked: Sequence[Checked]) -> bool:
    """Whether anything but notes was found."""
    return any(f.severity is not Severity.NOTE for one in checked for f in one.report.findings)


def _report(checked: Checked, profile: LineProfile | None) -> list[str]:
    message = checked.printed.resolved.message
    against = f' on "{profile.name}"' if profile else ", without a line profile"
    held = f"{len(message.expects)} expect, {len(message.requires)} require"
    counts = {s: sum(f.severity is s for f in checked.report.findings) for s in Severity}
    total = ", ".join(f"{n} {s}{'' if n == 1 else 's'}" for s, n in counts.items() if n)
    return [
        f"{message.name}{_when(checked)}{against}: {total or 'no findings'} ({held} checked)",
        *(line for finding in checked.report.findings for line in finding.lines()),
        *_silenced(checked),
    ]


def _when(checked: Checked) -> str:
    if checked.instants:
        first, last = checked.instants[0], checked.instants[-1]
        return f" at {len(checked.instants)} instants from {first.date()} to {last.date()}"
    return at_moment(checked.printed)


def _silenced(checked: Checked) -> list[str]:
    return [
        line
        for one in checked.report.silenced
        for line in (
            f"silenced[{one.finding.rule}]: {one.finding.message}",
            f"  because: {one.reason}",
        )
    ]


def _document(checked: Checked, profile: LineProfile | None) -> dict[str, object]:
    printed = checked.printed
    when = printed.resolved.instant.when
    return {
        "message": printed.resolved.message.name,
        "file": printed.resolved.message.span.source.name,
        "at": when.isoformat() if when and printed.code.plan.clocks_read() else None,
        "instants": len(checked.instants) or 1,
        "lines": list(printed.lines),
        "profile": profile.name if profile else None,
        "timing": _timing(checked, profile),
        "findings": [finding.as_dict() for finding in checked.report.findings],
        "silenced": [s.finding.as_dict() | {"because": s.reason} for s in checked.report.silenced],
    }


def _timing(checked: Checked, profile: LineProfile | None) -> list[dict[str, object]]:
    """The timing at every speed of the profile, empty when it cannot be told."""
    from msgspec import to_builtins

    from rasterc.checks.pace import timings

    return [to_builtins(at_speed) for at_speed in timings(checked.printed.subject(profile))]
