"""`rasterc jet`: the jet of a head, what moves it, and the window it has."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rasterc.cli.common import EXIT_FINDINGS, STANDARD_OUTPUT, JsonOption, reporting
from rasterc.cli.piped import PipedOption
from rasterc.cli.say import say
from rasterc.files import check_outputs

if TYPE_CHECKING:
    from rasterc.cli.jet.wanted import JetWanted
    from rasterc.cli.jet.worked_out import JetOutcome


def jet(
    profile: Annotated[
        Path, typer.Argument(help="A line profile with a [flight] table.", show_default=False)
    ],
    temperature: Annotated[
        float | None,
        typer.Option(
            metavar="C", help="Temperature of the ink; the profile's.", show_default=False
        ),
    ] = None,
    make_up: Annotated[
        float, typer.Option("--make-up", metavar="PART", help="Part of the mass that is make-up.")
    ] = 0.0,
    pressure: Annotated[
        float | None,
        typer.Option(metavar="KPA", help="Pressure of the ink; the profile's.", show_default=False),
    ] = None,
    viscosity: Annotated[
        float | None,
        typer.Option(metavar="MPAS", help="Viscosity, mPa s; the profile's.", show_default=False),
    ] = None,
    modulation: Annotated[
        float | None,
        typer.Option(
            metavar="PART",
            help="Height of the drive's disturbance at the nozzle / radius of the jet; the "
            "profile's.",
            show_default=False,
        ),
    ] = None,
    map_: Annotated[
        bool, typer.Option("--map", help="A map by viscosity, pressure and modulation.")
    ] = False,
    pressures: Annotated[
        str | None,
        typer.Option(metavar="KPA,...", help="Its pressures.", show_default=False),
    ] = None,
    viscosities: Annotated[
        str | None,
        typer.Option(metavar="MPAS,...", help="Viscosities of the map.", show_default=False),
    ] = None,
    modulations: Annotated[
        str | None,
        typer.Option(metavar="PART,...", help="Modulations of the map.", show_default=False),
    ] = None,
    fit: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE",
            help="Fit the head to what a bench has measured: a .csv of readings, or a profile with "
            "[[flight.measured]]. With --out head.toml the fitted profile is written.",
            show_default=False,
        ),
    ] = None,
    out: Annotated[
        list[Path] | None,
        typer.Option(
            "--out",
            metavar="FILE",
            help="Write to a file: .png .svg the map, .csv .json the figures, .toml the fitted "
            "profile; - is standard output. May be repeated.",
            show_default=False,
        ),
    ] = None,
    kind: PipedOption = None,
    as_json: JsonOption = False,
) -> None:
    """Tell the jet of a head, and how far its settings may move.

    That is its speed, breakup and charging. It takes no message. Formulas are published ones, and
    what they do not tell is left out and said. Heads work at kilovolts and with flammable ink: for
    trained people only.
    """
    from rasterc.cli.jet.wanted import JetWanted
    from rasterc.cli.jet.worked_out import document, write
    from rasterc.output.flights.text import cautions

    with reporting(as_json) as teller:
        wanted = JetWanted(
            temperature, make_up, pressure, viscosity, modulation, map_,
            pressures or "", viscosities or "", modulations or "", fit, tuple(out or ()), kind,
        )  # fmt: skip
        wanted.check(as_json)
        check_outputs(wanted.out)
        outcome = _outcome(profile, wanted)
        written = write(outcome, wanted.out, kind)
        if as_json:
            from rasterc.cli.documents.jet import JetDocument

            teller.document(JetDocument, document(outcome, written))
        elif STANDARD_OUTPUT not in wanted.out:
            wrote = [f"  wrote {name}" for name in written]
            said = [*outcome.lines, *wrote, "", cautions()]
            say(*(line for part in said for line in part.split("\n")))
        if outcome.faults:
            raise typer.Exit(EXIT_FINDINGS)


def _outcome(profile: Path, wanted: JetWanted) -> JetOutcome:
    if wanted.fit is not None:
        from rasterc.cli.jet.fit import fit_study
        from rasterc.cli.jet.wanted import TOML

        return fit_study(profile, wanted.fit, TOML in wanted.suffixes)
    from rasterc.cli.jet.worked_out import study
    from rasterc.profile.load import load_profile

    return study(load_profile(profile), wanted)
