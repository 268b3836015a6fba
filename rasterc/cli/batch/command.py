"""`rasterc batch`: a message many times over, by a count or by rows of data."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rasterc.cli.colour import is_terminal
from rasterc.cli.common import (
    EXIT_FINDINGS,
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
from rasterc.cli.ledger.asked import JobOption, PerOption, RequestOption, WitnessOption
from rasterc.cli.progress import progress
from rasterc.cli.say import say
from rasterc.files import check_outputs, write_file

if TYPE_CHECKING:
    from rasterc.batch.outcome import Outcome
    from rasterc.cli.batch.asked import Asked, Ready
    from rasterc.cli.say import Teller

Count = Annotated[
    int | None,
    typer.Option("--count", metavar="N", help="How many rows.", show_default=False),
]
Rows = Annotated[
    Path | None,
    typer.Option(
        "--rows",
        metavar="FILE",
        help="Rows of data: .csv .parquet .jsonl; columns are inputs and counters by name, and "
        '"at" for the moment.',
        show_default=False,
    ),
]
Out = Annotated[
    Path,
    typer.Option(
        "--out",
        metavar="FILE",
        help="Write to a file; its suffix decides: .parquet .jsonl .csv .npz, .strokes for strokes "
        "alone with an index beside them.",
        show_default=False,
    ),
]
Every = Annotated[
    str | None,
    typer.Option(
        "--every",
        metavar="TIME",
        help='Time from row to row: "0.24s", "250/min", or "line" by the product pitch and the '
        "speed of the profile. Time stands still when left out.",
        show_default=False,
    ),
]
Speed = Annotated[
    float | None,
    typer.Option(
        "--speed",
        metavar="M/S",
        help="Line speed for --every line; the profile's first when left out.",
        show_default=False,
    ),
]
Ignore = Annotated[
    list[str] | None,
    typer.Option(
        "--ignore",
        metavar="COLUMN",
        help="A column of the rows that is not needed. May be repeated.",
        show_default=False,
    ),
]
NotIn = Annotated[
    list[Path] | None,
    typer.Option(
        "--not-in",
        metavar="MANIFEST",
        help="Print no code of an earlier batch, whose manifest this is (.csv .jsonl .parquet). "
        "May be repeated.",
        show_default=False,
    ),
]
AllowRepeats = Annotated[
    bool, typer.Option("--allow-repeats", help="Codes may be printed twice: do not look for it.")
]
Strict = Annotated[
    bool,
    typer.Option(
        "--strict",
        help="Write nothing when a row cannot be printed, a counter ends, or a rule finds anything "
        "in the first row or the last; exit 1.",
    ),
]
Faults = Annotated[
    Path | None,
    typer.Option(
        "--faults",
        metavar="FILE",
        help="Write what is wrong with rows, as JSON lines, by row and line of the rows' file.",
        show_default=False,
    ),
]
MaxFaults = Annotated[
    int,
    typer.Option(
        "--max-faults", min=0, metavar="N", help="Give up, and write nothing, after so many rows "
        "that cannot be printed.",
    ),
]  # fmt: skip
Parts = Annotated[
    bool,
    typer.Option(
        "--parts",
        help="Make --out a folder of parts, each a whole file; for many millions.",
    ),
]
PartRows = Annotated[
    int, typer.Option("--part-rows", metavar="N", help="Rows of a part: what is kept at a time.")
]
Workers = Annotated[int, typer.Option("--workers", metavar="N", help="Work in so many processes.")]
Cluster = Annotated[
    str | None,
    typer.Option(
        "--cluster",
        metavar="ADDRESS",
        help="Work on a Dask scheduler that you trust: tcp://HOST:8786.",
        show_default=False,
    ),
]

Numbered = Annotated[
    str | None,
    typer.Option(
        "--ledger",
        metavar="WHERE",
        help="Have this ledger number the rows: it issues the next numbers of every counter before "
        "the first row, to nobody else, and is told when they were written.",
        show_default=False,
    ),
]


def batch(
    file: MessageFile,
    out: Out,
    count: Count = None,
    rows: Rows = None,
    at: AtOption = None,
    every: Every = None,
    settings: SetOption = None,
    profile: ProfileOption = None,
    speed: Speed = None,
    ignore: Ignore = None,
    not_in: NotIn = None,
    allow_repeats: AllowRepeats = False,
    strict: Strict = False,
    faults: Faults = None,
    max_faults: MaxFaults = 1000,
    parts: Parts = False,
    part_rows: PartRows = 1 << 17,
    workers: Workers = 1,
    cluster: Cluster = None,
    ledger: Numbered = None,
    witness: WitnessOption = None,
    per: PerOption = None,
    job: JobOption = None,
    request: RequestOption = None,
    message: MessageOption = None,
    fonts: FontsOption = None,
    as_json: JsonOption = False,
) -> None:
    """Compile a message for many rows: texts, values and strokes.

    Counters go on from row to row; rows may tell inputs, counters and moments. No code is printed
    twice unless --allow-repeats says so. A manifest beside the output holds the hashes of all that
    went in. A run that was stopped goes on when it is started again.
    """
    with reporting(as_json) as teller:
        from rasterc.cli.batch.asked import Asked
        from rasterc.cli.batch.numbered import Numbering

        printed = Request(file, at, settings or (), profile, message, fonts or ())
        asked = Asked(
            request=printed,
            count=count,
            rows=rows,
            out=out,
            every=every,
            speed=speed,
            parts=parts,
            part_rows=part_rows,
            most_faults=max_faults,
            strict=strict,
            repeats_allowed=allow_repeats,
            ignored=ignore or (),
            not_in=not_in or (),
            workers=workers,
            cluster=cluster,
            numbering=Numbering(ledger, witness, tuple(per or ()), job, request),
        )
        _do(asked, faults, teller)


def _do(asked: Asked, faults: Path | None, teller: Teller) -> None:
    from rasterc.batch.kinds import kind_of
    from rasterc.cli.batch import said
    from rasterc.cli.batch.asked import left_over, make_ready, numbers_of, the_code
    from rasterc.cli.batch.numbered import numbered

    asked.refuse_odd()
    names = kind_of(asked.suffix()).files
    code, line = the_code(asked)
    check_outputs(said.outputs(asked.out, names, asked.parts, faults))
    left = left_over(asked)
    before = left.get("at") if asked.request.at is None else None
    numbers = numbers_of(asked, code, line, before if isinstance(before, str) else None)
    with numbered(asked, code, numbers, left, teller) as (found, told):
        ready = make_ready(asked, code, line, found)
        if asked.strict:
            _refuse_findings(ready, teller)
        told.begin()
        outcome = _run(ready, asked.rows, faults)
        told.settle(outcome.written)
    teller.note(*said.notes(outcome))
    if teller.as_json:
        from rasterc.cli.documents.batch import BatchDocument

        teller.document(BatchDocument, said.document(ready, outcome))
    else:
        say(*said.summary(ready, outcome))
    if not said.is_fine(outcome):
        raise typer.Exit(EXIT_FINDINGS)


def _run(ready: Ready, rows: Path | None, faults: Path | None) -> Outcome:
    from rasterc.batch.data import about
    from rasterc.batch.job import run_job
    from rasterc.cli.batch import said

    def write_faults(outcome: Outcome) -> None:
        if faults is not None:
            write_file(faults, said.faults_file(outcome))

    total = ready.job.source.count
    if total is None:
        total = about(rows) if rows is not None and is_terminal(sys.stderr) else 0
    with progress("rows", total) as line:
        step = line.step if line is not None else lambda _: None
        return run_job(ready.job, step, write_faults)


def _refuse_findings(ready: Ready, teller: Teller) -> None:
    """End here when a rule finds anything in the first row or the last."""
    from rasterc.cli.batch.strict import findings

    if found := findings(ready):
        teller.refuse(*found)
        raise typer.Exit(EXIT_FINDINGS)
