"""`rasterc show`: the message at an instant, as drops."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rasterc.cli.common import (
    STANDARD_OUTPUT,
    AtOption,
    FontsOption,
    FormatOption,
    JsonOption,
    MessageFile,
    MessageOption,
    OutOption,
    ProfileOption,
    Request,
    SetOption,
    SpeedOption,
    StrictOption,
    reporting,
)
from rasterc.cli.notes import noted_pace, style_that_prints
from rasterc.cli.say import say
from rasterc.cli.strokes import check_output, hold_expects, strokes_document, write_print
from rasterc.cli.times import at_moment
from rasterc.diagnostics import InputError
from rasterc.output.code.styles import TerminalStyle

if TYPE_CHECKING:
    from rasterc.api import Print
    from rasterc.profile.model import LineProfile


def show(
    file: MessageFile,
    at: AtOption = None,
    settings: SetOption = None,
    profile: ProfileOption = None,
    speed: SpeedOption = None,
    style: Annotated[
        TerminalStyle, typer.Option(help="How drops are drawn.")
    ] = TerminalStyle.BLOCK,
    width: Annotated[
        int | None,
        typer.Option(
            min=20, help="Columns of the terminal; its own when left out.", show_default=False
        ),
    ] = None,
    labels: Annotated[
        bool | None,
        typer.Option(
            "--labels/--no-labels",
            help="Name the fields under their strokes; in the terminal when left out.",
            show_default=False,
        ),
    ] = None,
    grid: Annotated[
        bool, typer.Option("--grid", help="Mark, in a picture, where drops would stand upright.")
    ] = False,
    out: OutOption = None,
    kind: FormatOption = None,
    strict: StrictOption = False,
    message: MessageOption = None,
    fonts: FontsOption = None,
    as_json: JsonOption = False,
) -> None:
    """Show a message at an instant, as drops.

    They are drawn in the terminal, or in a picture with --out. An `expect` that does not hold is
    warned of.
    """
    from rasterc.output.code.at_speed import chosen_speed

    with reporting(as_json) as teller:
        check_output(out, kind, as_json)
        _check_marks(out, kind, labels, grid)
        request = Request(file, at, settings or (), profile, message, fonts or ())
        codes, line_profile = request.codes_and_profile()
        drawn_speed = chosen_speed(line_profile, speed)
        prints = request.prints(teller, codes)
        teller.note(*noted_pace(prints, line_profile, speed))
        hold_expects(prints, strict, teller)
        if out is not None:
            marks = {"labels": bool(labels), "grid": grid}
            write_print(prints, out, kind, line_profile, drawn_speed, marks)
        if as_json:
            from rasterc.cli.documents.strokes import ShowDocument

            teller.document(ShowDocument, strokes_document(prints, line_profile, out))
        elif out is not None:
            say(*[f"wrote {out}"] * (out != STANDARD_OUTPUT))
        else:
            _draw(
                prints,
                line_profile,
                drawn_speed,
                style_that_prints(style, teller),
                width,
                labels is not False,
            )


def _check_marks(out: Path | None, kind: str | None, labels: bool | None, grid: bool) -> None:
    """Refuse marks where nothing is drawn; raises `InputError`."""
    given = [*["--labels"] * bool(labels), *["--grid"] * grid]
    if out is None:
        if grid:
            raise InputError.one("bad-option", "--grid goes with --out", help="give --out FILE")
        return
    from rasterc.output.code.kinds import KINDS, kind_named
    from rasterc.output.code.write import kind_of

    name = kind_of(out, kind)
    if given and not kind_named(name).DRAWN:
        drawn = ", ".join(one for one in KINDS if kind_named(one).DRAWN)
        said = f"{name} has no place for {given[0]}"
        raise InputError.one("bad-option", said, help=f"write one of: {drawn}")


def _draw(
    prints: Sequence[Print],
    profile: LineProfile | None,
    speed: float | None,
    style: TerminalStyle,
    width: int | None,
    labels: bool,
) -> None:
    from rasterc.output.code.terminal import render_terminal

    columns = width or shutil.get_terminal_size((80, 24)).columns
    for index, printed in enumerate(prints):
        drops = render_terminal(printed.strokes(profile), columns, style, labels=labels)
        facts = _facts(printed, profile, speed)
        drawn = drops.split("\n")
        say(*[""] * bool(index), *_head(printed), "", *drawn, "", *facts)


def _head(printed: Print) -> list[str]:
    """The message's name, its moment and its texts."""
    name = printed.resolved.message.name
    return [f"{name}{at_moment(printed)}", *(f"  {line}" for line in printed.lines)]


def _facts(printed: Print, profile: LineProfile | None, speed: float | None) -> list[str]:
    """Counts, and with a profile the length, lean and time at the chosen speed."""
    strokes = printed.strokes()
    facts = [f"raster {strokes.raster}, {len(strokes)} strokes, {strokes.drops} drops"]
    if profile is None or speed is None:
        return facts
    from rasterc.head.timing import timing

    for turned, what in (
        (profile.line.upside_down, "turned upside down"),
        (profile.line.mirrored, "mirrored"),
    ):
        if turned:
            facts.append(f"{what}, as the profile says")
    raster = profile.raster(strokes.raster)
    if raster is None:
        return [*facts, f'"{profile.name}" throws no raster of {strokes.raster} drops']
    t = timing(profile, raster, len(strokes), speed)
    behind = "" if t.keeps_up else f": too fast, {t.rate_limit_hz:.0f} is the limit"
    return [
        *facts,
        f"at {t.speed_m_s:g} m/s: {t.length_mm:.1f} mm long, {t.message_ms:.1f} ms, "
        f"lean {t.slant_mm:+.2f} mm, {t.stroke_rate_hz:.0f} strokes/s{behind}",
    ]
