"""The options of `rasterc fly`, and which of them make sense together."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from rasterc.cli.piped import misfits
from rasterc.diagnostics import Diagnostic, fail_on_errors

SUFFIXES = (".png", ".svg", ".csv", ".json")
TWICE = "twice"
COMPARISONS = ("firing", "rasters", "charges")
DRAWS = 20
HEIGHT, SPEED = "height", "speed"
EQUALS = (HEIGHT, SPEED)
FEW_FLIGHTS = 4
FLIGHTS_ON_CLUSTER = 16  # whatever it has: nobody tells
CHARGES = ("solved", "fixed", "alone")


@dataclass(frozen=True, slots=True)
class Wanted:
    """The options of `fly` that are its own."""

    speed: float | None
    throw: float | None
    charges: str
    map_: bool
    speeds: str
    throws: str
    climb_to: str | None
    drift: int | None
    seed: int
    compare: str | None
    workers: int
    cluster: str | None
    results: Path | None
    out: tuple[Path, ...]
    tolerance: bool = False
    draws: int = DRAWS
    equal: str = HEIGHT
    kind: str | None = None

    def check(self, as_json: bool) -> None:
        """Raise `InputError` with every option that makes no sense."""
        faults = [
            *_two_studies(self.studies),
            *_one_of("--charges", self.charges, CHARGES),
            *_no_speed("--climb-to", self.climb_to),
            *_one_of("--compare", self.compare, COMPARISONS),
            *_one_of("--equal", self.equal, EQUALS),
            *self._unused(),
            *self._impossible(),
            *misfits(self.out, self.kind, SUFFIXES, as_json),
        ]
        fail_on_errors(faults)

    @property
    def fastest_m_s(self) -> float | None:
        """The speed of --climb-to; None for twice the profile's fastest."""
        return None if self.climb_to in (None, TWICE) else float(self.climb_to or 0)

    @property
    def studies(self) -> dict[str, bool]:
        """The studies, and whether each is asked for."""
        return {
            "--map": self.map_,
            "--climb-to": self.climb_to is not None,
            "--drift": self.drift is not None,
            "--compare": self.compare is not None,
            "--tolerance": self.tolerance,
        }

    @property
    def width(self) -> int:
        """How many flights to ask for at a time."""
        if self.cluster is not None:
            return FLIGHTS_ON_CLUSTER
        return 1 if self.workers == 1 else FEW_FLIGHTS * self.workers

    def _unused(self) -> Iterator[Diagnostic]:
        """Options that what is asked for makes no use of."""
        study = any(self.studies.values())
        if (self.speeds or self.throws) and not self.map_:
            said = "--speeds and --throws belong to --map"
            yield Diagnostic("unused-option", said, help="give --map, or --speed, --throw")
        if self.draws != DRAWS and not self.tolerance:
            said = "--draws belongs to --tolerance"
            yield Diagnostic("unused-option", said, help="give --tolerance, or leave it out")
        if self.equal != HEIGHT and self.compare != "rasters":
            said = "--equal belongs to --compare rasters"
            yield Diagnostic("unused-option", said, help="give it, or leave --equal out")
        if study and (self.throw is not None or self.charges != "solved"):
            said = "--throw and --charges belong to a single flight"
            yield Diagnostic("unused-option", said, help="leave them out of a study")
        if self.compare == "rasters" and self.results is not None:
            said = "--compare rasters makes no use of --results: it flies several messages"
            yield Diagnostic("bad-option", said, help="leave out --results")
        places = {
            "--workers": self.workers != 1,
            "--cluster": self.cluster is not None,
            "--results": self.results is not None,
        }
        for option in (name for name, given in places.items() if given and not study):
            said = f"a single flight makes no use of {option}: it is flown here"
            yield Diagnostic("bad-option", said, help=f"leave out {option}")

    def _impossible(self) -> Iterator[Diagnostic]:
        """Values that cannot be, alone or together."""
        from rasterc.profile.model import LINE_SPEEDS, is_line_speed

        if self.speed is not None and not is_line_speed(self.speed):
            said = f"--speed {self.speed:g} is not a line speed"
            yield Diagnostic("bad-speed", said, help=f"give {LINE_SPEEDS}")
        if self.cluster is not None and self.workers != 1:
            said = "--workers and --cluster are two places to fly"
            yield Diagnostic("two-places", said, help="give one of them")


def _no_speed(option: str, text: str | None) -> list[Diagnostic]:
    """A speed to climb to that is no number; whether it can be climbed to is seen later."""
    try:
        float("1" if text in (None, TWICE) else text or "")
    except ValueError:
        help = f"{option} 5, or {option} {TWICE} for twice the profile's fastest"
        return [Diagnostic("bad-speed", f'{option} "{text}" is no line speed', help=help)]
    return []


def _two_studies(studies: Mapping[str, bool]) -> list[Diagnostic]:
    given = [option for option, wanted in studies.items() if wanted]
    if len(given) < 2:
        return []
    said = f"{' and '.join(given)} are different studies"
    return [Diagnostic("two-studies", said, help="ask for one at a time")]


def _one_of(option: str, value: str | None, known: Sequence[str]) -> list[Diagnostic]:
    if value is None or value in known:
        return []
    help = f"one of: {', '.join(known)}"
    return [Diagnostic("unknown-choice", f'{option} "{value}" is unknown', help=help)]
