"""What is said of a batch."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import msgspec

from rasterc.batch.earlier import MANIFEST
from rasterc.batch.outcome import Outcome
from rasterc.batch.parts import Fault
from rasterc.batch.repeats import Repeat
from rasterc.diagnostics import Diagnostic, Severity

if TYPE_CHECKING:
    from rasterc.cli.batch.asked import Ready

SHOWN = 20
"""Refused rows and repeats that are shown, at most."""


def is_fine(outcome: Outcome) -> bool:
    """Whether all that was asked for was written."""
    return outcome.written and not (outcome.refused or outcome.stop)


def notes(outcome: Outcome) -> Iterator[Diagnostic]:
    """What is not as it should be."""
    yield from (_of_row(fault, outcome.written) for fault in outcome.faults[:SHOWN])
    if outcome.refused > SHOWN:
        said = f"{outcome.refused:,} rows in all cannot be printed"
        help = "--faults FILE writes all of them" + (
            "; the batch was given up at --max-faults" if outcome.given_up else ""
        )
        yield Diagnostic("rows-refused", said, help=help)
    if outcome.stop is not None:
        counter = outcome.stop.counter
        said = f"row {outcome.stop.row + 1:,} is not printed: counter {counter.name} has ended"
        help = "ask for fewer rows, end the counter later, or let it begin again: at end wrap"
        severity = Severity.WARNING if outcome.written else Severity.ERROR
        yield Diagnostic("counter-ended", said, counter.span, help, severity)
    yield from _repeats(outcome)
    if not outcome.rows:
        yield Diagnostic("nothing-printed", "no row can be printed")


def _of_row(fault: Fault, written: bool) -> Diagnostic:
    where = f"row {fault.row:,}" + (f" (line {fault.line:,})" if fault.line else "")
    severity = Severity.WARNING if written else Severity.ERROR
    return Diagnostic(fault.code, f"{where}: {fault.message}", None, fault.help, severity)


def _repeats(outcome: Outcome) -> Iterator[Diagnostic]:
    for repeat in outcome.repeats[:SHOWN]:
        yield Diagnostic("code-twice", f'{_pair(repeat)}: "{_short(repeat.lines)}"')
    if outcome.repeats:
        said = f"{len(outcome.repeats):,} rows or more repeat a code: nothing was written"
        help = "print a counter that runs on; if codes may repeat, say --allow-repeats"
        yield Diagnostic("codes-repeat", said, help=help)


def _pair(repeat: Repeat) -> str:
    if repeat.of:
        return f"row {repeat.again:,} prints what row {repeat.first:,} of {repeat.of} printed"
    return f"rows {repeat.first:,} and {repeat.again:,} print the same"


def _short(lines: tuple[str, ...]) -> str:
    text = " / ".join(lines)
    return text if len(text) <= 60 else f"{text[:57]}..."


def faults_file(outcome: Outcome) -> bytes:
    """Everything that is wrong with rows, as JSON lines."""
    return b"".join(msgspec.json.encode(fault) + b"\n" for fault in outcome.faults)


def summary(ready: Ready, outcome: Outcome) -> list[str]:
    """What was written, in lines."""
    if not outcome.written:
        return ["nothing was written"]
    lines = [f"wrote {ready.job.out}: {outcome.rows:,} rows"]
    if outcome.refused:
        lines.append(f"left out: {outcome.refused:,} rows that cannot be printed")
    if outcome.resumed:
        lines.append(f"went on: {outcome.resumed:,} parts were there")
    lines += [_held(one) for one in _issued(ready)]
    lines.append(_unique(ready))
    if outcome.one_by_one:
        lines.append(f"resolved one by one: {outcome.one_by_one:,} rows")
    return lines


def _issued(ready: Ready) -> list[dict[str, Any]]:
    """What a ledger issued for the job."""
    told = ready.job.went_in["asked"]["ledger"]
    return [] if told is None else list(told["held"])


def _held(held: dict[str, Any]) -> str:
    said = f"{held['series']}: {held['first_text']} to {held['last_text']}"
    return f"numbered by the ledger: {said}, from row {held['row']:,} on"


def _unique(ready: Ready) -> str:
    job = ready.job
    if job.repeats_allowed:
        return "codes may repeat: not looked for"
    if job.proof:
        return f"no code repeats: {job.proof}"
    return "no code repeats: all were compared"


def document(ready: Ready, outcome: Outcome) -> dict[str, object]:
    """The same as plain JSON values."""
    job, stop = ready.job, outcome.stop
    how = "not looked for" if job.repeats_allowed else "proved" if job.proof else "compared"
    return {
        "message": ready.code.message.name,
        "rows": outcome.rows,
        "refused": outcome.refused,
        "faults": [msgspec.to_builtins(fault) for fault in outcome.faults],
        "stop": None if stop is None else {"row": stop.row + 1, "counter": stop.counter.name},
        "unique": how,
        "why_unique": job.proof,
        "repeats": [
            {"first": one.first, "again": one.again, "lines": list(one.lines), "of": one.of}
            for one in outcome.repeats
        ],
        "one_by_one": outcome.one_by_one,
        "ledger": [
            {key: held[key] for key in ("counter", "series", "request", "row", "count", "first")}
            | {"first_text": held["first_text"], "last_text": held["last_text"]}
            for held in _issued(ready)
        ],
        "resumed": outcome.resumed,
        "file": str(job.out) if outcome.written else None,
        "manifest": f"{job.out}{MANIFEST}" if outcome.written else None,
    }


def outputs(out: Path, names: tuple[str, ...], parts: bool, faults: Path | None) -> list[Path]:
    """The files that are written in the end."""
    whole = [] if parts else [Path(f"{out}{name}") for name in names]
    return [*whole, Path(f"{out}{MANIFEST}"), *([faults] if faults else [])]
