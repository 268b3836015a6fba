"""`rasterc fly`: where the drops of a message land, by the flight model of the head."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from rasterc.cli.common import (
    EXIT_FINDINGS,
    STANDARD_OUTPUT,
    AtOption,
    FontsOption,
    JsonOption,
    MessageFile,
    MessageOption,
    ProfileOption,
    Request,
    SetOption,
    reporting,
)
from rasterc.cli.fly.wanted import CHARGES, COMPARISONS, DRAWS, EQUALS, FEW_FLIGHTS, HEIGHT, Wanted
from rasterc.cli.piped import PipedOption
from rasterc.cli.say import tell_text
from rasterc.diagnostics import InputError
from rasterc.files import check_outputs

if TYPE_CHECKING:
    from rasterc.cli.fly.flights import Flyer, Outcome, Subject, Told
    from rasterc.cli.say import Teller
    from rasterc.sweep.model import Band, Case, Job
    from rasterc.sweep.run import Runner

OutFiles = Annotated[
    list[Path] | None,
    typer.Option(
        "--out",
        metavar="FILE",
        help="Write to a file: .png .svg the picture or diagram, .csv .json the figures; - is "
        "standard output. May be repeated.",
        show_default=False,
    ),
]


def fly(
    file: MessageFile,
    at: AtOption = None,
    settings: SetOption = None,
    profile: ProfileOption = None,
    speed: Annotated[
        float | None,
        typer.Option(metavar="M/S", help="Line speed; the profile's first.", show_default=False),
    ] = None,
    throw: Annotated[
        float | None,
        typer.Option(metavar="MM", help="Throw distance; the profile's.", show_default=False),
    ] = None,
    charges: Annotated[
        str,
        typer.Option(
            metavar="|".join(CHARGES),
            help="Solved for this speed and throw, kept from the usual ones, or uncorrected.",
        ),
    ] = "solved",
    map_: Annotated[
        bool, typer.Option("--map", help="A map by throw and line speed, and its window.")
    ] = False,
    speeds: Annotated[
        str | None, typer.Option(metavar="M/S,...", help="Speeds of the map.", show_default=False)
    ] = None,
    throws: Annotated[
        str | None, typer.Option(metavar="MM,...", help="Throws of the map.", show_default=False)
    ] = None,
    climb_to: Annotated[
        str | None,
        typer.Option(
            metavar="M/S|twice",
            help="Climb from the line's speeds to this one, or to twice its fastest: what fails, "
            "and where.",
            show_default=False,
        ),
    ] = None,
    drift: Annotated[
        int | None,
        typer.Option(metavar="N", help="Fly N jets that drift at random.", show_default=False),
    ] = None,
    tolerance: Annotated[
        bool,
        typer.Option(
            "--tolerance",
            help="How far ink, jet, throw and trigger may each drift before the message fails, and "
            "by which limit; and all together.",
        ),
    ] = False,
    draws: Annotated[
        int, typer.Option(metavar="N", help="Draws of all together, of --tolerance.")
    ] = DRAWS,
    seed: Annotated[int, typer.Option(min=0, help="Seed of --drift and --tolerance.")] = 1,
    compare: Annotated[
        str | None,
        typer.Option(
            metavar="|".join(COMPARISONS),
            help="Firing orders; the rasters of the profile, in each firing order; charges kept, "
            "followed or solved as the line runs up.",
            show_default=False,
        ),
    ] = None,
    equal: Annotated[
        str,
        typer.Option(
            metavar="|".join(EQUALS), help="What is the same for all of --compare rasters."
        ),
    ] = HEIGHT,
    workers: Annotated[int, typer.Option(metavar="N", help="Processes to fly with.")] = 1,
    cluster: Annotated[
        str | None,
        typer.Option(
            metavar="ADDRESS",
            help="A Dask scheduler to fly on; given up after 20 s without an answer, 60 s without "
            "a worker.",
            show_default=False,
        ),
    ] = None,
    results: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE",
            help="Keep flights in this file as they are done, and go on from it.",
            show_default=False,
        ),
    ] = None,
    out: OutFiles = None,
    kind: PipedOption = None,
    message: MessageOption = None,
    fonts: FontsOption = None,
    as_json: JsonOption = False,
) -> None:
    """Fly the drops of a message to the product.

    It tells their placement, merges and charges, and what the speed costs. Heads work at kilovolts
    and with flammable ink. The model is for comparing; it makes no claim of micrometres.
    """
    from rasterc.cli.fly.report import document, report, write

    with reporting(as_json) as teller:
        wanted = Wanted(
            speed, throw, charges, map_, speeds or "", throws or "", climb_to, drift, seed, compare,
            workers, cluster, results, tuple(out or ()), tolerance, draws, equal, kind,
        )  # fmt: skip
        wanted.check(as_json)
        check_outputs(wanted.out)
        request = Request(file, at, settings or (), profile, message, fonts or ())
        subject = _subject(request, wanted, teller)
        quiet = as_json or STANDARD_OUTPUT in wanted.out
        outcome = _study(subject, wanted, quiet)
        written = write(outcome, subject, wanted.out, kind)
        if as_json:
            document(outcome, subject, written, teller)
        elif not quiet:
            report(outcome, subject, written)
        if outcome.failed:
            raise typer.Exit(EXIT_FINDINGS)


def _subject(request: Request, wanted: Wanted, teller: Teller) -> Subject:
    from rasterc.cli.fly.flights import subject_of

    codes, line_profile = request.codes_and_profile()
    if line_profile is None:
        said = "to fly drops takes a line profile with a [flight] table"
        raise InputError.one("no-profile", said, help="give --profile FILE")
    prints = request.prints(teller, codes)
    if len(prints) > 1:
        names = ", ".join(p.resolved.message.name for p in prints)
        said = "the file holds several messages; fly takes one"
        raise InputError.one("several-messages", said, help=f"name one with --message: {names}")
    return subject_of(prints[0], line_profile, wanted.speed)


def _study(subject: Subject, wanted: Wanted, quiet: bool) -> Outcome:
    from rasterc.cli.fly import flights
    from rasterc.cli.fly.report import telling
    from rasterc.sweep.grid import grid_of
    from rasterc.sweep.model import Charges

    told = telling(subject, quiet)
    with _flying(subject, wanted) as flyer:
        if wanted.map_:
            grid = grid_of(
                subject.job,
                _numbers("--speeds", wanted.speeds),
                _numbers("--throws", wanted.throws),
            )
            return flights.speed_throw_map(subject, grid, flyer, wanted.width, told)
        if wanted.climb_to is not None:
            return flights.climb(subject, wanted.fastest_m_s, flyer, wanted.width, told)
        if wanted.drift is not None:
            return flights.drift_study(subject, wanted.drift, wanted.seed, flyer)
        if wanted.tolerance:
            return _tolerance(subject, wanted, flyer, told)
        if wanted.compare is not None:
            from rasterc.cli.fly.rivals import Comparison, compare

            return compare(subject, Comparison(wanted.compare), wanted.equal, flyer)
        return flights.one_flight(subject, wanted.throw, Charges(wanted.charges))


def _tolerance(subject: Subject, wanted: Wanted, flyer: Flyer, told: Told) -> Outcome:
    from rasterc.cli.fly.tolerance import Draws, tolerance_study

    draws = Draws(wanted.draws, wanted.seed)
    return tolerance_study(subject, draws, flyer, wanted.width, told)


def _numbers(option: str, text: str) -> list[float]:
    try:
        return [float(part) for part in text.split(",") if part.strip()]
    except ValueError:
        said = f'{option} "{text}" is not a list of numbers'
        raise InputError.one("bad-numbers", said, help=f"{option} 0.5,1,2") from None


@contextmanager
def _flying(subject: Subject, wanted: Wanted) -> Iterator[Flyer]:
    """Who flies the cases: this process, a pool or a cluster; with a results file if asked for."""
    from rasterc.sweep.results import Results
    from rasterc.sweep.run import run_cases

    runner, earlier = _runner(wanted), 0
    kept = Results(wanted.results, subject.job) if wanted.results else None

    def flyer(job: Job, cases: Sequence[Case]) -> dict[Case, Band]:
        nonlocal earlier
        # starting processes costs more than a few flights
        here = wanted.cluster is None and len(cases) < FEW_FLIGHTS
        with _progress(earlier) as progress:
            found = run_cases(
                job,
                cases,
                runner=None if here else runner,
                workers=wanted.workers,
                results=kept,
                progress=progress,
            )
        earlier += len(found)
        return found

    try:
        yield flyer
    finally:
        if kept:
            kept.close()


def _runner(wanted: Wanted) -> Runner | None:
    if wanted.cluster is not None:
        from rasterc.sweep.cluster import on_cluster

        return on_cluster(wanted.cluster)
    if wanted.workers != 1:
        from rasterc.sweep.run import in_pool

        return in_pool(wanted.workers)
    return None


@contextmanager
def _progress(earlier: int) -> Iterator[Any]:
    """A bar on a terminal's error stream, nothing elsewhere; ``earlier`` flights were shown."""
    if sys.stderr is None or not sys.stderr.isatty():
        yield None
        return

    def show(done: int, total: int) -> None:
        done, total = earlier + done, earlier + total
        filled = 40 * done // max(total, 1)
        bar = "#" * filled + "." * (40 - filled)
        tell_text(f"\r  [{bar}] {done} of {total} flights")

    try:
        yield show
    finally:
        tell_text("\r" + " " * 72 + "\r")
