"""Options that the commands of `rasterc ledger` share, and what is asked with them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
from msgspec import Struct

from rasterc.cli.common import instant_of, split_settings, unknown_settings
from rasterc.cli.say import Teller
from rasterc.diagnostics import Diagnostic, InputError, Severity

if TYPE_CHECKING:
    from rasterc.ledger.book import Ledger
    from rasterc.ledger.model import Range, Series
    from rasterc.values.plan import Plan

LedgerOption = Annotated[
    str,
    typer.Option(
        "--ledger",
        metavar="WHERE",
        envvar="RASTERC_LEDGER",
        help="The ledger: a file, or postgres://USER@HOST/DATABASE.",
        show_default=False,
    ),
]
WitnessOption = Annotated[
    Path | None,
    typer.Option(
        "--witness",
        metavar="FILE",
        envvar="RASTERC_WITNESS",
        help="A file, kept elsewhere than the ledger, that knows what was issued last; a ledger "
        "that knows less is refused.",
        show_default=False,
    ),
]
CounterOption = Annotated[
    str | None,
    typer.Option(
        "--counter",
        metavar="NAME",
        help="Which counter of the message; its only one when left out.",
        show_default=False,
    ),
]
PerOption = Annotated[
    list[str] | None,
    typer.Option(
        "--per",
        metavar="INPUT",
        help="Count apart for each text of this input, which --set gives. May be repeated.",
        show_default=False,
    ),
]
AsOption = Annotated[
    str | None,
    typer.Option(
        "--as",
        metavar="NAME",
        help="What the ledger calls the counter; MESSAGE.COUNTER when left out.",
        show_default=False,
    ),
]
JobOption = Annotated[
    str | None,
    typer.Option(
        "--job",
        metavar="TEXT",
        help="What the numbers are for; the message's name when left out.",
        show_default=False,
    ),
]
RequestOption = Annotated[
    str | None,
    typer.Option(
        "--request",
        metavar="UUID",
        help="An id of what is reserved: asked again with it, the same numbers come. A new one "
        "when left out.",
        show_default=False,
    ),
]
RequestArgument = Annotated[
    str, typer.Argument(metavar="REQUEST", help="What `reserve` said.", show_default=False)
]
ReasonOption = Annotated[
    str, typer.Option("--reason", metavar="TEXT", help="Why, for the ledger.", show_default=False)
]
_NOT_DONE = ("ledger-unusable", "busy", "cannot-write")
_BEHIND_S = 60.0
"""Clocks of several machines differ by less; common practice, no source."""


class Asked(Struct, frozen=True):
    """What a command asks of counters of a message."""

    file: Path
    message: str | None
    at: str | None
    settings: Sequence[str]
    per: Sequence[str]
    name: str | None

    def plan(self) -> Plan:
        """The message; raises `InputError`."""
        from rasterc.loading import load_plan

        return load_plan(self.file, self.message)

    def series(self, plan: Plan, counter: str) -> Series:
        """The series that a counter is in; raises `InputError`."""
        from rasterc.api import parse_when
        from rasterc.ledger.declared import series_of

        pairs, faults = split_settings(self.settings)
        faults += unknown_settings(pairs, plan.message.inputs)
        if faults:
            raise InputError(faults)
        when = parse_when(self.at) if self.at else datetime.now(UTC).replace(microsecond=0)
        instant = instant_of(plan.message, when, pairs)
        return series_of(plan, counter, instant, per=self.per, name=self.name or "")


def counter_of(plan: Plan, wanted: str | None) -> str:
    """The counter that is meant; raises `InputError` when that cannot be told."""
    known = list(plan.message.counters)
    if wanted is not None:
        return wanted
    if len(known) == 1:
        return known[0]
    said = f"message {plan.message.name} has {len(known)} counters"
    help = f"choose with --counter: {', '.join(known)}" if known else "declare one: counter case"
    raise InputError.one("which-counter", said, help=help)


@contextmanager
def opened(where: str, witness: Path | None) -> Iterator[Ledger]:
    """The ledger; raises `InputError`."""
    from rasterc.ledger.book import Ledger

    with Ledger.open(where, witness=witness) as ledger:
        yield ledger


def take(
    ledger: Ledger, series: Series, count: int, job: str, request: str, teller: Teller, meant: bool
) -> Range:
    """Reserve; what is odd about the clock is noted where it does not stop us.

    Args:
        ledger, series, count, job, request: as for `Ledger.take`.
        teller: where it is noted.
        meant: the moment was given, not read from this computer's clock.
    """
    try:
        held = _taken(ledger, series, count, job, request, teller, meant)
    except InputError as error:
        if any(one.code in _NOT_DONE for one in error.diagnostics):
            teller.note(_note("request", f"the request was {request}"))
        raise
    if said := _clock_back(ledger, held):
        teller.note(_note("clock-set-back", said, "set the clock of this computer right"))
    return held


def _taken(
    ledger: Ledger, series: Series, count: int, job: str, request: str, teller: Teller, meant: bool
) -> Range:
    try:
        return ledger.take(series, count, job, request)
    except InputError as error:
        if not meant or error.diagnostics[0].code != "clock-set-back":
            raise
    held = ledger.take(series, count, job, request, earlier=True)
    said = f"{series.name} lies before series of this counter that were used already"
    teller.note(_note("earlier-series", said, "right if --at is meant"))
    return held


def _clock_back(ledger: Ledger, held: Range) -> str:
    """That an entry was written before the one before it, by the clock."""
    before = ledger.entry(held.seq - 1)
    if before is None:
        return ""
    then, now = datetime.fromisoformat(before.at), datetime.fromisoformat(held.at)
    if (then - now).total_seconds() <= _BEHIND_S:
        return ""
    return f"the clock was set back: the entry before was written at {before.at}, this at {held.at}"


def _note(code: str, said: str, help: str = "") -> Diagnostic:
    return Diagnostic(code, said, help=help, severity=Severity.NOTE)
