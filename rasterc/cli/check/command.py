"""`rasterc check`: hold messages against every rule."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rasterc.cli.check.files import ReportFiles
from rasterc.cli.check.severities import FailOn
from rasterc.cli.check.view import View, fails
from rasterc.cli.common import (
    EXIT_BAD_INPUT,
    EXIT_FINDINGS,
    AtOption,
    FontsOption,
    JsonOption,
    MessageOption,
    ProfileOption,
    SetOption,
    reporting,
)
from rasterc.cli.say import Teller, tell
from rasterc.cli.stretch import STRETCHES, FromNowOption
from rasterc.diagnostics import InputError, Severity

if TYPE_CHECKING:
    from rasterc.cli.check.outcome import Outcome
    from rasterc.inspection.kept import Memory
    from rasterc.inspection.running import Runner


def check(
    files: Annotated[
        list[Path] | None,
        typer.Argument(
            metavar="[FILE...]",
            help="Message files, folders of them, or - for standard input; the plant whose folder "
            "this is, or lies in, when left out.",
            show_default=False,
        ),
    ] = None,
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
    changed: Annotated[
        str | None,
        typer.Option(
            "--changed",
            metavar="REV",
            help="Only what differs from a commit, branch or tag of git touches: message, used "
            "files, fonts, pictures, profile, plant file.",
            show_default=False,
        ),
    ] = None,
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
    cluster: Annotated[
        str | None,
        typer.Option(
            "--cluster",
            metavar="ADDRESS",
            help="Check on the workers of this Dask scheduler, which see the same files.",
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

    At an instant, or with --all at every edge. Without files, every message of the plant on every
    line that it runs on. What is in order is checked even when other files or messages cannot be
    read. What was found is kept, and found again at once while nothing that it depends on changes;
    without --at a folder or a plant is held against the day, so that this lasts until its end.

    Exit codes: 0 when nothing fails, also when only notes are found (see --fail-on); 1 when
    something fails; 2 when a file, a message or an option is wrong, whatever else was found.
    """
    with reporting(as_json) as teller:
        from rasterc.cli.check.outcome import Means, look
        from rasterc.cli.check.wanted import Options, wanted

        reports = ReportFiles(sarif, junit)
        reports.check(as_json)
        memory = user_memory()
        options = Options(
            at,
            since,
            years,
            everything,
            settings or (),
            profile,
            message,
            fonts or (),
            changed,
        )
        means = Means(memory, workers, _runner(cluster, workers))
        outcome = look(wanted(files or (), options, memory), means)
        teller.note(*outcome.noted)
        _tell_all(outcome, View(fail_on, least, quiet, fold), teller, reports)
        if outcome.broken:
            raise typer.Exit(EXIT_BAD_INPUT)
        if fails(outcome.checked, fail_on):
            raise typer.Exit(EXIT_FINDINGS)


def user_memory() -> Memory | None:
    """What was found before, unless nothing is to be kept."""
    from rasterc.files.cache import VERDICTS, user_cache
    from rasterc.inspection.kept import Memory

    cache = user_cache(VERDICTS)
    return Memory(cache) if cache else None


def _runner(cluster: str | None, workers: int | None) -> Runner | None:
    """Who looks at files: the workers of a cluster, or this computer; raises `InputError`."""
    if cluster is None:
        return None
    if workers is not None:
        said = "--workers and --cluster are two places to check"
        raise InputError.one("two-choices", said, help="give one of them")
    from rasterc.inspection.cluster import on_cluster

    return on_cluster(cluster)


def _tell_all(outcome: Outcome, view: View, teller: Teller, reports: ReportFiles) -> None:
    """What was found on standard output, what cannot be checked on standard error."""
    if reports.paths:
        from rasterc.cli.check.documents import write_reports

        write_reports(outcome, view, reports)
    if teller.as_json:
        from rasterc.cli.check.documents import document
        from rasterc.cli.documents.check import CheckDocument

        teller.document(CheckDocument, document(outcome, view))
        return
    if not reports.prints:
        from rasterc.cli.check.report import report
        from rasterc.cli.pager import say_long

        say_long(report(outcome, view))
    for fault in outcome.faults():
        tell(*fault.lines())
