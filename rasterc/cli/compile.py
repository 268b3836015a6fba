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
    reporting,
)
from rasterc.cli.notes import noted_pace
from rasterc.cli.say import say
from rasterc.diagnostics import InputError
from rasterc.files import check_outputs

if TYPE_CHECKING:
    from rasterc.api import Print
    from rasterc.layout.model import Strokes
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

    Without --out, JSON on standard output, as with --json.
    """
    with reporting(as_json) as teller:
        from rasterc.output.at_speed import chosen_speed

        check_outputs([out])
        request = Request(file, at, settings or (), profile, message, fonts or ())
        line_profile = request.line_profile()
        chosen_speed(line_profile, speed)
        prints = request.prints(teller)
        teller.note(*noted_pace(prints, line_profile, speed))
        strokes = None if out is None else write_print(prints, out, line_profile, speed)
        if as_json or strokes is None:
            from rasterc.cli.documents.strokes import CompileDocument

            teller.document(CompileDocument, strokes_document(prints, line_profile, out))
        else:
            say(f"wrote {out}: {len(strokes)} strokes, {strokes.drops} drops")


def strokes_document(
    prints: Sequence[Print], profile: LineProfile | None, out: Path | None
) -> dict[str, object]:
    """The strokes of every message, and the file that was written, as plain JSON values."""
    from rasterc.output.jsonout import strokes_as_dict

    messages = [strokes_as_dict(p.strokes(profile), p.resolved) for p in prints]
    return {"messages": messages, "file": None if out is None else str(out)}


def write_print(
    prints: Sequence[Print], out: Path, profile: LineProfile | None, speed: float | None
) -> Strokes:
    """Write the strokes of the one message to a file; returns them."""
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
    return strokes
