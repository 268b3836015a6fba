"""`rasterc compile`: a message to strokes, in a file or as JSON on standard output."""

from __future__ import annotations

from typing import TYPE_CHECKING

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
from rasterc.cli.notes import noted_pace
from rasterc.cli.say import say
from rasterc.cli.strokes import check_output, hold_expects, strokes_document, write_print

if TYPE_CHECKING:
    pass


def compile_message(
    file: MessageFile,
    at: AtOption = None,
    settings: SetOption = None,
    profile: ProfileOption = None,
    speed: SpeedOption = None,
    out: OutOption = None,
    kind: FormatOption = None,
    strict: StrictOption = False,
    message: MessageOption = None,
    fonts: FontsOption = None,
    as_json: JsonOption = False,
) -> None:
    """Compile a message at an instant to strokes.

    Without --out, JSON on standard output, as with --json. An `expect` that does not hold is
    warned of.
    """
    with reporting(as_json) as teller:
        from rasterc.output.code.at_speed import chosen_speed

        check_output(out, kind, as_json)
        request = Request(file, at, settings or (), profile, message, fonts or ())
        codes, line_profile = request.codes_and_profile()
        chosen_speed(line_profile, speed)
        prints = request.prints(teller, codes)
        teller.note(*noted_pace(prints, line_profile, speed))
        hold_expects(prints, strict, teller)
        strokes = None if out is None else write_print(prints, out, kind, line_profile, speed)
        if as_json or strokes is None:
            from rasterc.cli.documents.strokes import CompileDocument

            teller.document(CompileDocument, strokes_document(prints, line_profile, out))
        elif out != STANDARD_OUTPUT:
            say(f"wrote {out}: {len(strokes)} strokes, {strokes.drops} drops")
