"""`rasterc compile`: a message to strokes, in a file or as JSON on standard output."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from rasterc.cli.common import (
    EXIT_FINDINGS,
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
from rasterc.cli.notes import broken_expects, noted_pace
from rasterc.cli.piped import printed_twice
from rasterc.cli.say import say
from rasterc.diagnostics import InputError, Severity, fail_on_errors
from rasterc.files import check_outputs

if TYPE_CHECKING:
    from rasterc.api import Print
    from rasterc.cli.say import Teller
    from rasterc.layout.model import Strokes
    from rasterc.profile.model import LineProfile


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


def strokes_document(
    prints: Sequence[Print], profile: LineProfile | None, out: Path | None
) -> dict[str, object]:
    """The strokes of every message, and the file that was written, as plain JSON values."""
    from rasterc.output.code.kinds.json import strokes_as_dict

    messages = [strokes_as_dict(p.strokes(profile), p.resolved) for p in prints]
    return {"messages": messages, "file": None if out is None else str(out)}


def check_output(out: Path | None, kind: str | None, as_json: bool) -> None:
    """Refuse, before the work, an output that cannot be meant or written; raises `InputError`."""
    if out is None:
        if kind is not None:
            help = "give --out FILE, or --out - for standard output"
            raise InputError.one("bad-option", f"--format {kind} goes with --out", help=help)
        return
    fail_on_errors([*printed_twice([out], as_json)])
    if out == STANDARD_OUTPUT or kind is not None:
        from rasterc.output.code.write import kind_of

        kind_of(out, kind)
    check_outputs([out])


def hold_expects(prints: Sequence[Print], strict: bool, teller: Teller) -> None:
    """Warn of every `expect` of the messages that does not hold; end there when it is strict.

    Raises:
        Exit: it is strict, and one does not hold.
    """
    severity = Severity.ERROR if strict else Severity.WARNING
    broken = list(broken_expects(prints, severity))
    if broken and strict:
        teller.refuse(*broken)
        raise typer.Exit(EXIT_FINDINGS)
    teller.note(*broken)


def write_print(
    prints: Sequence[Print],
    out: Path,
    kind: str | None,
    profile: LineProfile | None,
    speed: float | None,
    marks: Mapping[str, bool] | None = None,
) -> Strokes:
    """Write the strokes of the one message to a file, with marks of a `Drawing`; returns them."""
    from rasterc.output.code.at_speed import geometry_at
    from rasterc.output.code.geometry import Drawing
    from rasterc.output.code.write import write_strokes

    if len(prints) > 1:
        names = ", ".join(p.resolved.message.name for p in prints)
        raise InputError.one(
            "several-messages",
            f"the file holds several messages, and {out} can hold one",
            help=f"name one with --message: {names}",
        )
    strokes = prints[0].strokes(profile)
    title = " / ".join(prints[0].lines)
    drawing = Drawing(geometry_at(profile, strokes, speed), title=title, **(marks or {}))
    write_strokes(out, strokes, drawing, prints[0].resolved, kind)
    return strokes
