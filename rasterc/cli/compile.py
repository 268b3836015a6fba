"""`rasterc compile`: a message to strokes, in a file or as JSON on standard output."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

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
from rasterc.cli.notes import note_pace
from rasterc.diagnostics import InputError

if TYPE_CHECKING:
    from rasterc.api import Print
    from rasterc.profile.model import LineProfile


def compile_message(
    file: MessageFile,
    at: AtOption = None,
    settings: SetOption = None,
    profile: ProfileOption = None,
    speed: SpeedOption = None,
    out: OutOption = None,
    message: MessageOption = None,
    fonts: FontsOption = None,
    as_json: JsonOption = False,
) -> None:
    """Compile a message at an instant to strokes.

    Without --out, JSON on standard output.
    """
    with reporting(as_json):
        from rasterc.output.at_speed import chosen_speed

        request = Request(file, at, settings or (), profile, message, fonts or ())
        line_profile = request.line_profile()
        chosen_speed(line_profile, speed)
        prints = request.prints()
        note_pace(prints, line_profile, speed)
        if out is None:
            from rasterc.output.jsonout import strokes_as_dict

            documents = [strokes_as_dict(p.strokes(line_profile), p.resolved) for p in prints]
            print_json(documents[0] if len(documents) == 1 else documents)
        else:
            said = write_print(prints, out, line_profile, speed)
            print_json(said) if as_json else print(
                f"wrote {out}: {said['strokes']} strokes, {said['drops']} drops"
            )


def write_print(
    prints: Sequence[Print], out: Path, profile: LineProfile | None, speed: float | None
) -> dict[str, object]:
    """Write the strokes of the one message to a file; says what was written."""
    from rasterc.output.at_speed import geometry_at
    from rasterc.output.write import Drawing, write_strokes

    if len(prints) > 1:
        names = ", ".join(p.resolved.message.name for p in prints)
        raise InputError.one(
            "several-messages",
            f"the file holds several messages, and {out} can hold one",
            help=f"name one with --message: {names}",
        )
    strokes = prints[0].strokes(profile)
    title = " / ".join(prints[0].lines)
    drawing = Drawing(geometry_at(profile, strokes, speed), title=title)
    write_strokes(out, strokes, drawing, prints[0].resolved)
    return {"file": str(out), "strokes": len(strokes), "drops": strokes.drops}
