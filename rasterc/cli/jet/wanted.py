"""The options of `rasterc jet`, and which of them make sense together."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from rasterc.cli.piped import misfits, suffix_of
from rasterc.diagnostics import Diagnostic, fail_on_errors

TOML = ".toml"
SUFFIXES = (".png", ".svg", ".csv", ".json", TOML)
MAX_POINTS = 60  # of one axis of a map
RANGES = {
    "--pressure": (1.0, 5000.0, "kPa"),
    "--viscosity": (0.1, 100.0, "mPa s"),
    "--modulation": (1e-6, 0.9, "of the jet's radius"),
}


@dataclass(frozen=True, slots=True)
class JetWanted:
    """The options of `jet`."""

    temperature: float | None
    make_up: float
    pressure: float | None
    viscosity: float | None
    modulation: float | None
    map_: bool
    pressures: str
    viscosities: str
    modulations: str
    fit: Path | None
    out: tuple[Path, ...]
    kind: str | None = None

    def check(self, as_json: bool) -> None:
        """Raise `InputError` with every option that makes no sense."""
        misfit = misfits(self.out, self.kind, SUFFIXES, as_json)
        fail_on_errors([*self._singles(), *self._axes(), *self._fit(), *misfit, *self._files()])

    @property
    def suffixes(self) -> frozenset[str]:
        """The kinds of files to be written."""
        return frozenset(suffix_of(path, self.kind) for path in self.out)

    def _singles(self) -> Iterator[Diagnostic]:
        given = {
            "--pressure": self.pressure,
            "--viscosity": self.viscosity,
            "--modulation": self.modulation,
        }
        for option, value in given.items():
            if value is not None:
                yield from _out_of_range(option, value)

    def _fit(self) -> Iterator[Diagnostic]:
        settings = (self.temperature, self.pressure, self.viscosity, self.modulation)
        if self.fit is not None and (self.map_ or self.make_up or any(settings)):
            said = "--fit takes the profile as it is: no other setting, no map"
            yield Diagnostic("unused-option", said, help="fit first, then look at the fitted one")

    def _axes(self) -> Iterator[Diagnostic]:
        for option, text in self._lists.items():
            if text and not self.map_:
                yield Diagnostic("unused-option", f"{option} belongs to --map", help="give --map")
            try:
                values = numbers(text)
            except ValueError:
                said = f'{option} "{text}" is not a list of numbers'
                yield Diagnostic("bad-numbers", said, help=f"{option} 0.5,1,2")
                continue
            if len(values) > MAX_POINTS:
                said = f"{option} has {len(values)} values; a map takes {MAX_POINTS}"
                yield Diagnostic("too-many", said, help="give fewer")
            for value in values[:MAX_POINTS]:
                single = {"--pressures": "--pressure", "--viscosities": "--viscosity"}
                yield from _out_of_range(single.get(option, "--modulation"), value, option)

    @property
    def _lists(self) -> dict[str, str]:
        return {
            "--pressures": self.pressures,
            "--viscosities": self.viscosities,
            "--modulations": self.modulations,
        }

    def _files(self) -> Iterator[Diagnostic]:
        for path in self.out:
            suffix = suffix_of(path, self.kind)
            if suffix == TOML and self.fit is None:
                said = f"{path}: only a fitted profile is written as .toml"
                yield Diagnostic("bad-option", said, help="give --fit MEASURED.csv")
            elif suffix in (".png", ".svg") and not self.map_:
                said = f"{path}: only a map is drawn"
                yield Diagnostic("bad-option", said, help="give --map, or write .csv or .json")


def numbers(text: str) -> list[float]:
    """The numbers between commas, in rising order; ValueError for what is none."""
    return sorted({float(part) for part in text.split(",") if part.strip()})


def _out_of_range(option: str, value: float, said_as: str = "") -> Iterator[Diagnostic]:
    low, high, unit = RANGES[option]
    if not low <= value <= high:
        said = f"{said_as or option} {value:g} is out of range"
        yield Diagnostic("out-of-range", said, help=f"give {low:g} to {high:g} {unit}")
