"""From what the command was asked to a job."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec
from msgspec import structs

from rasterc.batch.api import counted, pace_of, prints_before
from rasterc.batch.data import chunks_of
from rasterc.batch.earlier import earlier_of
from rasterc.batch.given import Given
from rasterc.batch.keeping import ORDER
from rasterc.batch.kinds import SUFFIXES
from rasterc.batch.pace import Pace, step_of
from rasterc.batch.parts import BLOCK, Order
from rasterc.batch.pool import in_pool
from rasterc.batch.proof import why_unique
from rasterc.batch.rows import moment_at
from rasterc.batch.setup import setup_of
from rasterc.batch.source import Counted, RowSource
from rasterc.batch.went_in import file_hash, went_in
from rasterc.batch.work import PARTS, Job, Runner, in_process
from rasterc.cli.batch.numbered import Numbering
from rasterc.cli.common import Request, instant_of, no_message
from rasterc.diagnostics import InputError, fail_on_errors
from rasterc.files import is_there
from rasterc.files.working import kept_file

if TYPE_CHECKING:
    from rasterc.api import Code
    from rasterc.profile.model import LineProfile
    from rasterc.values.model import Instant

MOST_ROWS = 10**12
MOST_PART_ROWS = 1 << 20


@dataclass(frozen=True, slots=True)
class Asked:
    """What the command was asked.

    Attributes:
        request: the message and its values.
        count: how many rows; None with ``rows``.
        rows: the file of rows.
        out: what is written.
        every: the time from row to row.
        speed: of the line, for ``every`` "line".
        parts: whether ``out`` is a folder of parts.
        part_rows: rows of a part.
        most_faults, strict, repeats_allowed: see `rasterc.batch.work.Job`.
        ignored: columns that are not looked at.
        not_in: manifests of batches whose codes may not be printed again.
        workers, cluster: who does the parts.
        numbering: what is asked of a ledger.
    """

    request: Request
    count: int | None
    rows: Path | None
    out: Path
    every: str | None
    speed: float | None
    parts: bool
    part_rows: int
    most_faults: int
    strict: bool
    repeats_allowed: bool
    ignored: Sequence[str]
    not_in: Sequence[Path]
    workers: int
    cluster: str | None
    numbering: Numbering

    def suffix(self) -> str:
        """The kind of output; raises `InputError`."""
        suffix = self.out.suffix.lower()
        if suffix in SUFFIXES:
            return suffix
        said = f"{self.out} does not end in a suffix that can be written here"
        raise InputError.one("unknown-suffix", said, help=f"known: {' '.join(SUFFIXES)}")

    def refuse_odd(self) -> None:
        """Raises `InputError` for what makes no sense."""
        if (self.count is None) == (self.rows is None):
            said = "a batch takes either a count or rows"
            raise InputError.one("bad-option", said, help="--count 1000, or --rows codes.csv")
        if self.count is not None and not 1 <= self.count <= MOST_ROWS:
            help = f"give 1 to {MOST_ROWS:,}"
            raise InputError.one("bad-count", f"{self.count} rows cannot be printed", help=help)
        if self.part_rows % BLOCK or not 0 < self.part_rows <= MOST_PART_ROWS:
            said = f"a part cannot have {self.part_rows} rows"
            help = f"give a multiple of {BLOCK:,}, up to {MOST_PART_ROWS:,}"
            raise InputError.one("bad-count", said, help=help)
        if self.not_in and self.repeats_allowed:
            said = "--not-in looks for codes that --allow-repeats does not look for"
            raise InputError.one("bad-option", said, help="leave one of them out")
        self.suffix()


@dataclass(frozen=True, slots=True)
class Ready:
    """A job that can be done, and what it is of."""

    code: Code
    profile: LineProfile | None
    job: Job


def the_code(asked: Asked) -> tuple[Code, LineProfile | None]:
    """The one message, and the line; raises `InputError`."""
    codes, profile = asked.request.codes_and_profile()
    if not codes:
        raise no_message(asked.request.file)
    if len(codes) > 1:
        said = "the file holds several messages, and a batch is of one"
        help = f"name one with --message: {', '.join(codes)}"
        raise InputError.one("several-messages", said, help=help)
    return next(iter(codes.values())), profile


def make_ready(asked: Asked, code: Code, profile: LineProfile | None, numbers: Numbers) -> Ready:
    """The job; raises `InputError` with what keeps it from being done.

    Args:
        asked: what was asked.
        code, profile: see `the_code`.
        numbers: which numbers the counters begin with.
    """
    setup = setup_of(code.message, code.fonts, code.composer, profile)
    source, known = _source(asked, code, numbers)
    proof = _proof(asked, code, known)
    hashed = not (proof or asked.repeats_allowed)
    order = Order(setup, asked.suffix(), asked.parts, hashed, known)
    job = Job(
        order=order,
        source=source,
        out=asked.out,
        went_in=went_in(setup, asked.rows, _plain(asked, numbers)),
        part_rows=asked.part_rows,
        proof=proof,
        repeats_allowed=asked.repeats_allowed,
        strict=asked.strict,
        most_faults=0 if numbers.ledger is not None else asked.most_faults,
        runner=_runner(asked),
        earlier=tuple(map(earlier_of, asked.not_in)),
    )
    return Ready(code, profile, job)


@dataclass(frozen=True, slots=True)
class Numbers:
    """When a job's rows are printed, and with what its counters begin.

    Attributes:
        instant: of the first row.
        pace: the moments of all rows.
        before: prints of each counter before the first row.
        source: the rows, when a ledger numbers them.
        ledger: what it issued for them, as plain values.
    """

    instant: Instant
    pace: Pace
    before: Mapping[str, int]
    source: RowSource | None = None
    ledger: Mapping[str, object] | None = None


def numbers_of(asked: Asked, code: Code, profile: LineProfile | None, at: str | None) -> Numbers:
    """The moments and counters of a job, as the message and its settings have them.

    Args:
        asked, code, profile: see `make_ready`.
        at: the moment of the first row; now, when neither it nor ``asked`` tells one.

    Raises:
        InputError: a value, or the moment, cannot be.
    """
    request = asked.request if at is None else structs.replace(asked.request, at=at)
    when, pairs, faults = request.given([code])
    fail_on_errors(faults)
    instant = instant_of(code.message, when, pairs)
    if asked.rows is None:
        code.resolve_at(instant)  # says what is missing or wrong before anything is done
    step = Fraction(0) if asked.every is None else step_of(asked.every, profile, asked.speed)
    pace = pace_of(code.plan, instant, step)
    before = {n: prints_before(c, instant) for n, c in code.message.counters.items()}
    return Numbers(instant, pace, before)


def _source(asked: Asked, code: Code, numbers: Numbers) -> tuple[RowSource, Counted | None]:
    found = numbers.source or rows_of(asked, code, numbers)
    return found, found if isinstance(found, Counted) else None


def rows_of(asked: Asked, code: Code, numbers: Numbers) -> RowSource:
    """The rows, as the message numbers them; raises `InputError`."""
    inputs = numbers.instant.inputs
    if asked.count is not None:
        return counted(code.plan, asked.count, numbers.pace, numbers.before, inputs)
    assert asked.rows is not None
    chunks, ignored = chunks_of(asked.rows), frozenset(asked.ignored)
    return Given(code.plan, chunks, numbers.pace, numbers.before, inputs, ignored)


def _proof(asked: Asked, code: Code, known: Counted | None) -> str:
    if known is None or asked.repeats_allowed or asked.not_in:
        return ""  # or all are compared
    return why_unique(code.plan, known)


def _runner(asked: Asked) -> Runner:
    if asked.cluster is not None:
        from rasterc.batch.cluster import on_cluster

        return on_cluster(asked.cluster)
    return in_process if asked.workers == 1 else in_pool(asked.workers)


def _plain(asked: Asked, numbers: Numbers) -> dict[str, object]:
    """What was asked, as far as it decides what is written."""
    start, step = numbers.pace.start, numbers.pace.step
    return {
        "count": asked.count,
        "at": None if start is None else moment_at(start).isoformat(),
        "every_us": str(step),
        "set": sorted(asked.request.settings),
        "ignore": sorted(asked.ignored),
        "not_in": {path.name: file_hash(path) for path in asked.not_in},
        "kind": asked.suffix(),
        "parts": asked.parts,
        "part_rows": asked.part_rows,
        "allow_repeats": asked.repeats_allowed,
        "ledger": numbers.ledger,
    }


def left_over(asked: Asked) -> dict[str, object]:
    """What a job that was stopped was asked, when its parts lie beside the output."""
    path = asked.out if asked.parts else asked.out.with_name(asked.out.name + PARTS)
    if not is_there(path / ORDER):
        return {}
    try:
        found = msgspec.json.decode(kept_file(path / ORDER), type=dict[str, object]).get("asked")
    except msgspec.DecodeError:
        return {}
    return found if isinstance(found, dict) else {}
