"""A stretch of time as every command says it: `--from DATE` and `--years N`."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from types import MappingProxyType
from typing import Annotated

import typer
from msgspec import Struct


class Limits(Struct, frozen=True):
    """What a command looks at when nothing is said, and the most that it looks at.

    Attributes:
        years: how many years, when not given.
        most: the most years there can be.
        ago: it begins on the first of January of so many years before this one; None for now.
    """

    years: int
    most: int
    ago: int | None = 0


STRETCHES: Mapping[str, Limits] = MappingProxyType(
    {
        "check": Limits(5, 50, ago=None),
        "extremes": Limits(10, 1000),
        "repeats": Limits(120, 1000),
        "trace": Limits(10, 100, ago=5),
        "diff": Limits(10, 100),
    }
)
"""The limits of each command: how far it looks by itself, and how far it can."""


def _starts(limits: Limits) -> str:
    if limits.ago is None:
        return "now"
    year = f"of {limits.ago} years ago" if limits.ago else "of this year"
    return f"the first of January {year}"


def _from_option(limits: Limits) -> typer.models.OptionInfo:
    help = f"The date, or date and time, to start at; {_starts(limits)} when left out."
    option: typer.models.OptionInfo = typer.Option(
        "--from", metavar="DATE", help=help, show_default=False
    )
    return option


FromOption = Annotated[str | None, _from_option(STRETCHES["extremes"])]
FromYearsAgoOption = Annotated[str | None, _from_option(STRETCHES["trace"])]
FromNowOption = Annotated[str | None, _from_option(STRETCHES["check"])]
YearsOption = Annotated[
    int, typer.Option("--years", metavar="N", help="How many years to look at.")
]


class Stretch(Struct, frozen=True):
    """From when, and for how many years, a command looks."""

    start: datetime
    years: int


def stretch(command: str, since: str | None, years: int) -> Stretch:
    """The stretch of time that a command was asked for.

    The clock of this computer is read only when no date is given.

    Raises:
        InputError: the text is no date, or the years are none, too many or out of reach.
    """
    from rasterc.cli.times import moment_from
    from rasterc.values.dates.offsets import check_horizon

    limits = STRETCHES[command]
    start = moment_from(since) if since is not None else _begin(limits)
    check_horizon(start, years, limits.most)
    return Stretch(start, years)


def _begin(limits: Limits) -> datetime:
    now = datetime.now(UTC)
    if limits.ago is None:
        return now.replace(microsecond=0)
    return datetime(now.year - limits.ago, 1, 1)
