"""What `rasterc fly` writes and prints."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from rasterc.cli.documents.fly import FlyDocument
from rasterc.cli.fly.flights import Outcome, Subject
from rasterc.cli.piped import write_all
from rasterc.cli.say import Teller, encoded, say, say_now
from rasterc.cli.times import at_moment
from rasterc.head.compiled import flown_by
from rasterc.output.flights.text import CAUTIONS, cautions, wrapped


def write(
    outcome: Outcome, subject: Subject, paths: Sequence[Path], kind: str | None = None
) -> list[str]:
    """Write each file whole, of the kind its suffix tells, ``kind`` of "-"; raises `InputError`."""
    return write_all(paths, kind, lambda suffix: _encoded(outcome, subject, suffix))


def _encoded(outcome: Outcome, subject: Subject, suffix: str) -> bytes:
    if suffix == ".csv":
        return outcome.table.as_csv()
    if suffix == ".json":
        return encoded(FlyDocument, {"diagnostics": [], **_document(outcome, subject, [])}).encode()
    return outcome.picture(suffix[1:])


def _document(outcome: Outcome, subject: Subject, written: Sequence[str]) -> dict[str, Any]:
    resolved = subject.printed.resolved
    when = resolved.instant.when
    return {
        "message": resolved.message.name,
        "at": when.isoformat() if when and resolved.message.clocks else None,
        "lines": list(subject.printed.lines),
        "profile": subject.profile.name,
        **outcome.document,
        "readable": not outcome.failed,
        "files": list(written),
        "cautions": list(CAUTIONS),
        "flown_by": flown_by(),
    }


def document(outcome: Outcome, subject: Subject, written: Sequence[str], teller: Teller) -> None:
    """Print the outcome for machines."""
    teller.document(FlyDocument, _document(outcome, subject, written))


def report(outcome: Outcome, subject: Subject, written: Sequence[str]) -> None:
    """Print the outcome and what to keep in mind."""
    if not outcome.told:
        say(*_heading(subject))
    say(*(line for part in outcome.lines for line in part.split("\n")))
    say(f"  flown by {flown_by()}", *(f"  wrote {name}" for name in written), "")
    say(*cautions().split("\n"))


def telling(subject: Subject, quiet: bool) -> Callable[..., None]:
    """What says lines as they come, after the heading; nothing if something else is printed."""
    headed = False

    def told(*lines: str) -> None:
        nonlocal headed
        if quiet:
            return
        if not headed:
            say_now(*_heading(subject))
        headed = True
        say_now(*(line for part in lines for line in part.split("\n")))

    return told


def _heading(subject: Subject) -> list[str]:
    name, moment = subject.printed.resolved.message.name, at_moment(subject.printed)
    return wrapped(f'{name}{moment} on "{subject.profile.name}"', "").split("\n")
