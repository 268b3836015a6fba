"""What `rasterc show` and `rasterc compile` share: one print of a message, written or told."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from rasterc.cli.common import EXIT_FINDINGS, STANDARD_OUTPUT
from rasterc.cli.notes import broken_expects
from rasterc.cli.piped import printed_twice
from rasterc.diagnostics import InputError, Severity, fail_on_errors
from rasterc.files import check_outputs

if TYPE_CHECKING:
    from rasterc.api import Print
    from rasterc.cli.say import Teller
    from rasterc.layout.model import Strokes
    from rasterc.profile.model import LineProfile


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
