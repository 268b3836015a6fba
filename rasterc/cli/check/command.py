"""`rasterc check`: hold messages against every rule."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rasterc.cli.check.files import ReportFiles
from rasterc.cli.check.severities import FailOn
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
    split_settings,
)
from rasterc.cli.say import Teller, tell
from rasterc.cli.stretch import STRETCHES, FromNowOption, stretch
from rasterc.diagnostics import InputError, Severity, fail_on_errors

if TYPE_CHECKING:
    from rasterc.cli.check.all_files import Outcome
    from rasterc.cli.check.checked import Asked
    from rasterc.cli.check.report import View
    from rasterc.profile.model import LineProfile


def check(
    files: Annotated[
        list[Path],
        typer.Argument(
            metavar="FILE...",
            help="Message files, folders of them, or - for standard input.",
            show_default=False,
        ),
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
    since: FromNowOption = None,
    years: Annotated[
        int | None,
        typer.Option(
            "--years",
            metavar="N",
            help=f"How many years to look at with --all; {STRETCHES['check'].years} when left out.",
            show_default=False,
        ),
    ] = None,
    fail_on: Annotated[
        FailOn, typer.Option("--fail-on", help="The mildest finding that makes the exit code 1.")
    ] = FailOn.WARNING,
    least: Annotated[
        Severity,
        typer.Option("--min-severity", help="The mildest finding that is shown and written."),
    ] = Severity.NOTE,
    quiet: Annotated[
        bool, typer.Option("--quiet", "-q", help="Show only what fails; nothing when all is well.")
    ] = False,
    fold: Annotated[
        bool,
        typer.Option(
            "--fold/--no-fold", help="Say what is the same in three messages or more once."
        ),
    ] = True,
    workers: Annotated[
        int | None,
        typer.Option(
            "--workers",
            metavar="N",
            min=1,
            max=256,
            help="Processes that check; one for each processor when there are many files.",
            show_default=False,
        ),
    ] = None,
    sarif: Annotated[
        Path | None,
        typer.Option(
            "--sarif", metavar="FILE", help="Write SARIF 2.1.0; - prints it.", show_default=False
        ),
    ] = None,
    junit: Annotated[
        Path | None,
        typer.Option(
            "--junit", metavar="FILE", help="Write JUnit XML; - prints it.", show_default=False
        ),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Check messages, their own examples and limits.

    At an instant, or with --all at every edge. What is in order is checked even when other files
    or messages cannot be read.

    Exit codes: 0 when nothing fails, also when only notes are found (see --fail-on); 1 when
    something fails; 2 when a file, a message or an option is wrong, whatever else was found.
    """
    with reporting(as_json) as teller:
        from rasterc.cli.check.all_files import look
        from rasterc.cli.check.documents import write_reports
        from rasterc.cli.check.report import View, fails

        reports = ReportFiles(sarif, junit)
        reports.check(as_json)
        request = Request(Path(), at, settings or (), profile, message, fonts or ())
        view = View(fail_on, least, quiet, fold)
        asked = _asked(request, _span(at, since, years, everything), reports)
        outcome = look(files, asked, workers)
        teller.note(*outcome.noted)
        write_reports(outcome, asked.profile, view, reports)
        _tell_all(outcome, asked.profile, view, teller, printed=reports.prints)
        if outcome.broken:
            raise typer.Exit(EXIT_BAD_INPUT)
        if fails(outcome, fail_on):
            raise typer.Exit(EXIT_FINDINGS)


def _span(
    at: str | None, since: str | None, years: int | None, everything: bool
) -> tuple[datetime, int | None]:
    """Where to begin, and over how many years; None for the one moment.

    Raises:
        InputError: options that do not go together, or a moment that is none.
    """
    from rasterc.api import parse_when

    if not everything and (since is not None or years is not None):
        said = f"{'--from' if since is not None else '--years'} goes with --all"
        raise InputError.one("bad-option", said, help="give --all, or --at TIME for one moment")
    if at is not None and since is not None:
        said = "--at and --from both say where to begin"
        raise InputError.one("two-choices", said, help="give one of them")
    now = datetime.now(UTC).replace(microsecond=0)
    if not everything:
        return (now if at is None else parse_when(at)), None
    number = STRETCHES["check"].years if years is None else years
    found = stretch("check", since if at is None else at, number)
    return (found.start if at is None else parse_when(at)), found.years


def _asked(request: Request, span: tuple[datetime, int | None], reports: ReportFiles) -> Asked:
    """What every message is held against; raises `InputError`."""
    from rasterc.cli.check.checked import Asked

    pairs, faults = split_settings(request.settings)
    fail_on_errors(faults)
    return Asked(
        *span,
        pairs,
        request.message,
        request.line_profile(),
        tuple(request.fonts),
        reports.paths,
    )


def _tell_all(
    outcome: Outcome, profile: LineProfile | None, view: View, teller: Teller, *, printed: bool
) -> None:
    """What was found on standard output, what cannot be checked on standard error.

    ``printed`` when standard output holds a report for another program.
    """
    if teller.as_json:
        from rasterc.cli.check.documents import document
        from rasterc.cli.documents.check import CheckDocument

        teller.document(CheckDocument, document(outcome, profile, view))
        return
    if not printed:
        from rasterc.cli.check.report import report
        from rasterc.cli.pager import say_long

        say_long(report(outcome, profile, view))
    for fault in outcome.faults():
        tell(*fault.lines())
