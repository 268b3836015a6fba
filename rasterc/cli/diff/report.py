"""What `rasterc diff` prints and draws."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from io import BytesIO
from itertools import zip_longest
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING

from rasterc.cli.times import clock_time, iso, period
from rasterc.diagnostics import InputError, visible
from rasterc.files import write_file
from rasterc.layout.model import MAX_PICTURE_PIXELS
from rasterc.tracing.declared import DeclaredChange
from rasterc.tracing.differences import Difference, DiffResult, LongestChange
from rasterc.tracing.row_changes import MAX_CHANGES, RowChange, RowChanges
from rasterc.values.dates.offsets import moment_of
from rasterc.values.given.counters import text_of
from rasterc.values.model import Instant

if TYPE_CHECKING:
    from rasterc.cli.diff.compared import Comparison, Pair
    from rasterc.code import Code
    from rasterc.profile.model import LineProfile
    from rasterc.tracing.given import Given

_SHOWN = 10  # stretches printed as text
_LISTED = 10_000  # stretches in JSON
_WIDTH = 78


def report(found: Comparison, profile: LineProfile | None, out: Path | None) -> list[str]:
    """The comparison for a person to read, in lines."""
    parts = [list(_pair(pair, profile)) for pair in found.pairs]
    parts += [[f"{name}: only in the old file"] for name in found.removed]
    parts += [[f"{name}: only in the new file"] for name in found.added]
    parts += [[f"wrote {out}"]] if out is not None else []
    lines = [line for part in parts for line in ("", *part)][1:]
    return lines or ["neither file holds a message"]


def _pair(pair: Pair, profile: LineProfile | None) -> Iterator[str]:
    result = pair.result
    yield f"{pair.name}: {_verdict(result)}"
    yield from _indented(", ".join(_compared_at(pair)), 2)
    if result.first is not None:
        yield from _first(result.first)
        yield from _when(result)
        yield from _lines(result)
    yield from _lengths(result, profile)
    if not result.exact:
        yield "  too many check characters to work out: some differences may be missing"
    yield from _rows(result.rows)
    if result.declared:
        yield "  written differently:"
        for change in result.declared:
            yield from _declared(change)


def _rows(rows: RowChanges) -> Iterator[str]:
    if rows:
        yield "  rows of tables:"
    for row in rows.shown[:_SHOWN]:
        yield f"    {_row(row)}"
    if len(rows) > _SHOWN:
        yield f"    and {len(rows) - _SHOWN:,} more: --json lists up to {MAX_CHANGES:,}"


def _row(row: RowChange) -> str:
    name = f"{row.table} {row.key}"
    if row.old is None or row.new is None:
        cells = (row.new if row.old is None else row.old) or {}
        said = ", ".join(f'{column} "{text}"' for column, text in cells.items())
        return f"{'+' if row.old is None else '-'} {name}: {said}"
    pairs = ((column, row.old[column], row.new[column]) for column in row.old)
    return f"~ {name}: " + ", ".join(f'{column} "{a}" -> "{b}"' for column, a, b in pairs)


def _verdict(result: DiffResult) -> str:
    if result.same:
        return "prints the same"
    if result.rows and not result.minutes:
        return (
            f"differs in {_count(len(result.rows), 'row')} of its tables, not in the one compared"
        )
    if result.other_values and not result.minutes:
        names = ", ".join(result.other_values)
        return f"the same for the values compared, but other values are taken by {names}"
    if not result.minutes:
        return "the texts are the same, but look different"
    if result.zone is None:
        return "prints differently"
    return f"differs in {_count(result.minutes, 'minute')} on {_count(result.days, 'day')}"


def _count(number: int, what: str) -> str:
    return f"{number:,} {what}{'' if number == 1 else 's'}"


def _compared_at(pair: Pair) -> Iterator[str]:
    result = pair.result
    if result.zone is not None and result.start is not None and result.until is not None:
        yield f"{result.start.date()} to {result.until.date()}"
        yield result.zone.key
    old, new = pair.given
    for name in dict.fromkeys((*old.counters, *new.counters)):
        values = [
            text_of(code.message.counters[name], given.counters[name])
            for code, given in zip((pair.old, pair.new), pair.given, strict=True)
            if name in given.counters
        ]
        yield f"{name} {' -> '.join(dict.fromkeys(values))}"
    for name in dict.fromkeys((*old.inputs, *new.inputs)):
        texts = [given.inputs[name] for given in pair.given if name in given.inputs]
        yield f"{name} " + " -> ".join(f'"{text}"' for text in dict.fromkeys(texts))


def _first(first: Difference) -> Iterator[str]:
    yield f"  first at {clock_time(first.at)}:" if first.at else "  it prints:"
    for old, new in zip_longest(first.old, first.new):
        if old == new:
            yield f"      {old}"
            continue
        if old is not None:
            yield f"    - {old}"
        if new is not None:
            yield f"    + {new}"
    for fault in first.faults:
        yield f"    nothing: {fault.message}"


def _when(result: DiffResult) -> Iterator[str]:
    if result.zone is None:
        return
    yield "  when:"
    pairs = list(zip(result.starts[:_SHOWN], result.ends[:_SHOWN], strict=True))
    for start, end in pairs:
        moments = [moment_of(m).astimezone(result.zone) for m in (start, end)]
        yield f"    {period(moments[0], moments[1])}"
    if len(result.starts) > len(pairs):
        yield f"    and {len(result.starts) - len(pairs):,} more: --json lists up to {_LISTED:,}"


def _lines(result: DiffResult) -> Iterator[str]:
    """How often each line differs, when there are several."""
    if result.zone is not None and len(result.line_minutes) > 1:
        counts = (
            f"line {number} in {_count(minutes, 'minute')}"
            for number, minutes in enumerate(result.line_minutes, 1)
            if minutes
        )
        yield from _indented(", ".join(counts), 2)


def _lengths(result: DiffResult, profile: LineProfile | None) -> Iterator[str]:
    if result.characters.change:
        line = result.characters.line + 1
        yield _change(result.characters, "character", f" in line {line}")
    if result.strokes is not None and result.strokes.change:
        pitch = profile.line.stroke_pitch_mm if profile else 0
        size = f" ({result.strokes.change * pitch:+.1f} mm)" if pitch else ""
        yield _change(result.strokes, "stroke", size)


def _change(longest: LongestChange, what: str, more: str) -> str:
    plural = "" if abs(longest.change) == 1 else "s"
    at = f", first at {clock_time(longest.at)}" if longest.at else ""
    return f"  largest change in length: {longest.change:+} {what}{plural}{more}{at}"


def _declared(change: DeclaredChange) -> Iterator[str]:
    yield f"    {change.change} {change.what}"
    for sign, text in (("-", change.old), ("+", change.new)):
        if text:
            yield from _indented(text, 6, f"{sign} ")


def _indented(text: str, by: int, sign: str = "") -> list[str]:
    first, rest = " " * by + sign, " " * (by + len(sign))
    return wrap(visible(text), _WIDTH, initial_indent=first, subsequent_indent=rest)


def document(found: Comparison) -> dict[str, object]:
    """The comparison as plain JSON values."""
    return {
        "same": found.same,
        "messages": [_document(pair) for pair in found.pairs],
        "removed": list(found.removed),
        "added": list(found.added),
    }


def _document(pair: Pair) -> dict[str, object]:
    result = pair.result
    return {
        "old": pair.old.message.name,
        "new": pair.new.message.name,
        "same": result.same,
        "same_look": result.same_look,
        "other_values": list(result.other_values),
        "exact": result.exact,
        "zone": result.zone.key if result.zone else None,
        "from": iso(result.start),
        "until": iso(result.until),
        "old_values": _values(pair.given[0]),
        "new_values": _values(pair.given[1]),
        "minutes": result.minutes,
        "days": result.days,
        "line_minutes": list(result.line_minutes),
        "count": len(result.starts),
        "differences": list(_stretches(result)),
        "first": None if result.first is None else _first_document(result.first),
        "longest_change": {
            "characters": _longest_document(result.characters),
            "strokes": None if result.strokes is None else _longest_document(result.strokes),
        },
        "declared": [
            {"change": str(c.change), "what": c.what, "old": c.old, "new": c.new}
            for c in result.declared
        ],
        "rows": [
            {"table": row.table, "key": row.key, "old": row.old, "new": row.new}
            for row in result.rows.shown
        ],
        "row_count": len(result.rows),
    }


def _values(given: Given) -> dict[str, object]:
    return {"counters": dict(given.counters), "inputs": dict(given.inputs)}


def _stretches(result: DiffResult) -> Iterator[dict[str, str]]:
    if result.zone is None:
        return
    pairs = zip(result.starts[:_LISTED], result.ends[:_LISTED], strict=True)
    for start, end in pairs:
        moments = [moment_of(m).astimezone(result.zone).isoformat() for m in (start, end)]
        yield {"from": moments[0], "until": moments[1]}


def _first_document(first: Difference) -> dict[str, object]:
    return {
        "at": iso(first.at),
        "old": list(first.old),
        "new": list(first.new),
        "faults": [fault.as_dict() for fault in first.faults],
    }


def _longest_document(longest: LongestChange) -> dict[str, object]:
    line = None if longest.line < 0 else longest.line
    return {"change": longest.change, "at": iso(longest.at), "line": line}


def write_picture(found: Comparison, out: Path, profile: LineProfile | None) -> None:
    """Draw both versions of the one message at its first difference, else at the start.

    Raises:
        InputError: a version that cannot be printed then, a picture too large, or a file that
            cannot be written.
    """
    [pair] = found.pairs
    first = pair.result.first
    at = first.at if first is not None else pair.result.start
    sides = zip((pair.old, pair.new), pair.given, strict=True)
    write_file(out, _stacked([_png(code, given, at, profile) for code, given in sides]))


def _png(code: Code, given: Given, at: datetime | None, profile: LineProfile | None) -> bytes:
    from rasterc.output.code.at_speed import geometry_at
    from rasterc.output.code.kinds.png import render_png

    strokes = code.resolve_at(Instant(at, given.counters, given.inputs)).strokes(profile)
    return render_png(strokes, geometry_at(profile, strokes))


def _stacked(pictures: Sequence[bytes]) -> bytes:
    """Pictures above each other, left sides in line."""
    from PIL import Image

    images = [Image.open(BytesIO(data)).convert("RGB") for data in pictures]
    width, height = max(i.width for i in images), sum(i.height for i in images)
    if width * height > MAX_PICTURE_PIXELS:
        message = f"both versions make a picture of {width} x {height} pixels"
        help = "draw each with `rasterc show --out`"
        raise InputError.one("picture-too-large", message, help=help)
    whole = Image.new("RGB", (width, height), images[0].getpixel((0, 0)))
    top = 0
    for image in images:
        whole.paste(image, (0, top))
        top += image.height
    data = BytesIO()
    whole.save(data, "PNG")
    return data.getvalue()
