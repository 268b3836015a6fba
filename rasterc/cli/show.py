"""`rasterc show`: the message at an instant, as drops."""

from __future__ import annotations

import shutil
from enum import StrEnum
from typing import TYPE_CHECKING, Annotated

import typer

from rasterc.cli.common import (
    AtOption,
    FontsOption,
    JsonOption,
    MessageFile,
    MessageOption,
    OutOption,
    ProfileOption,
    Request,
    SetOption,
    SpeedOption,
    print_json,
    reporting,
)

if TYPE_CHECKING:
    from rasterc.api import Print
    from rasterc.profile.model import LineProfile


class Style(StrEnum):
    """How drops are drawn in the terminal."""

    BLOCK = "block"
    BRAILLE = "braille"
    DOTS = "dots"
    PLAIN = "plain"


def show(
    file: MessageFile,
    at: AtOption = None,
    settings: SetOption = None,
    profile: ProfileOption = None,
    speed: SpeedOption = None,
    style: Annotated[Style, typer.Option(help="How drops are drawn.")] = Style.BLOCK,
    width: Annotated[
        int | None,
        typer.Option(
            min=20, help="Columns of the terminal; its own when left out.", show_default=False
        ),
    ] = None,
    out: OutOption = None,
    message: MessageOption = None,
    fonts: FontsOption = None,
    as_json: JsonOption = False,
) -> None:
    """Show a message at an instant, as drops in the terminal or in a picture (--out)."""
    with reporting(as_json):
        request = Request(file, at, settings or (), profile, message, fonts or ())
        line_profile = request.line_profile()
        prints = request.prints()
        if out is not None:
            from rasterc.cli.compile import write_print

            said = write_print(prints, out, line_profile, speed)
            print_json(said) if as_json else print(f"wrote {out}")
        elif as_json:
            from rasterc.output.jsonout import strokes_document

            documents = [strokes_document(p.strokes(line_profile), p.resolved) for p in prints]
            print_json(documents[0] if len(documents) == 1 else documents)
        else:
            columns = width or shutil.get_terminal_size((80, 24)).columns
            pictures = [_picture(p, line_profile, speed, style, columns) for p in prints]
            print("\n\n".join(pictures))


def _picture(
    printed: Print, profile: LineProfile | None, speed: float | None, style: Style, width: int
) -> str:
    from rasterc.output.terminal import render_terminal

    strokes = printed.strokes(profile)
    message = printed.resolved.message
    when = printed.resolved.instant.when
    moment = f" at {when.isoformat(' ', 'seconds')}" if when and message.clocks else ""
    head = [f"{message.name}{moment}", *(f"  {line}" for line in printed.lines)]
    drops = render_terminal(strokes, width=width, style=style.value)
    return "\n".join([*head, "", drops, "", *_facts(printed, profile, speed)])


def _facts(printed: Print, profile: LineProfile | None, speed: float | None) -> list[str]:
    """Counts, and with a profile the length, lean and time at the chosen speed."""
    strokes = printed.strokes()
    facts = [f"raster {strokes.raster}, {len(strokes)} strokes, {strokes.drops} drops"]
    if profile is None:
        return facts
    from rasterc.head.timing import timing
    from rasterc.output.at_speed import chosen_speed

    for turned, what in (
        (profile.line.upside_down, "turned upside down"),
        (profile.line.mirrored, "mirrored"),
    ):
        if turned:
            facts.append(f"{what}, as the profile says")
    raster = profile.raster(strokes.raster)
    if raster is None:
        return [*facts, f'"{profile.name}" throws no raster of {strokes.raster} drops']
    t = timing(profile, raster, len(strokes), chosen_speed(profile, speed))
    behind = "" if t.keeps_up else f": too fast, {t.rate_limit_hz:.0f} is the limit"
    return [
        *facts,
        f"at {t.speed_m_s:g} m/s: {t.length_mm:.1f} mm long, {t.message_ms:.1f} ms, "
        f"lean {t.slant_mm:+.2f} mm, {t.stroke_rate_hz:.0f} strokes/s{behind}",
    ]
