"""A print as the page draws it: strokes as integers, places of characters, sizes of its line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from rasterc.page.places import Fault, Place, faults_of, place_of

if TYPE_CHECKING:
    from rasterc.code import Code
    from rasterc.layout.model import FieldBox, Strokes
    from rasterc.output.code.geometry import DropGeometry
    from rasterc.printed import Print
    from rasterc.profile.model import LineProfile
    from rasterc.source.declarations import Counter
    from rasterc.values.given.inputs import InputRule


class Sizes(Struct, frozen=True):
    """How drops look on the product, in mm; ``travel_mm`` is from row 0 to the top row."""

    stroke_mm: float
    row_mm: float
    dot_mm: float
    travel_mm: float
    ink: str
    surface: str


class Box(Struct, frozen=True):
    """What a piece of a line prints: its strokes and rows, where each character begins, its place
    in the source."""

    name: str
    text: str
    line: int
    first: int
    end: int
    bottom: int
    top: int
    cells: tuple[int, ...]
    place: Place | None


class Drops(Struct, frozen=True):
    """A print: its texts, its strokes (bit 0 is the lowest row), its boxes and sizes."""

    lines: tuple[str, ...]
    bits: tuple[int, ...] = ()
    raster: int = 0
    boxes: tuple[Box, ...] = ()
    sizes: Sizes | None = None
    length_mm: float | None = None
    height_mm: float | None = None


class CounterControl(Struct, frozen=True):
    """A counter as a control: its value, and what it can be."""

    name: str
    value: int
    shown: str
    least: int
    greatest: int
    step: int
    place: Place | None


class InputControl(Struct, frozen=True):
    """An input as a control: its text, and what it can be."""

    name: str
    value: str
    made_up: bool
    choices: tuple[str, ...]
    pattern: str
    most: int
    place: Place | None


def drops_of(printed: Print, profile: LineProfile | None, name: str) -> tuple[Drops, list[Fault]]:
    """The drops of a print, and what keeps it from having any."""
    from rasterc.diagnostics import InputError
    from rasterc.output.code.at_speed import geometry_at

    try:
        strokes = printed.strokes()
    except InputError as error:
        return Drops(printed.lines), list(faults_of(error.diagnostics, name))
    geometry = geometry_at(profile, strokes)
    boxes = tuple(_box(box, printed, name) for box in strokes.boxes)
    return Drops(
        printed.lines, strokes.bits, strokes.raster, boxes, _sizes(geometry),
        *_extent(strokes, geometry),
    ), []  # fmt: skip


def _sizes(geometry: DropGeometry) -> Sizes:
    return Sizes(
        geometry.stroke_pitch_mm, geometry.row_pitch_mm, geometry.dot_diameter_mm,
        geometry.slant_mm, geometry.ink, geometry.surface,
    )  # fmt: skip


def _extent(strokes: Strokes, geometry: DropGeometry) -> tuple[float | None, float | None]:
    """Length and height of the printed drops on the product, edge to edge, in mm."""
    from rasterc.head.timing import height_mm, length_mm

    rows = 0
    for column in strokes.bits:
        rows |= column
    if not rows:
        return None, None
    used = rows.bit_length() - ((rows & -rows).bit_length() - 1)
    length = length_mm(len(strokes), geometry.stroke_pitch_mm, geometry.dot_diameter_mm)
    return length, height_mm(used, geometry.row_pitch_mm, geometry.dot_diameter_mm)


def _box(box: FieldBox, printed: Print, name: str) -> Box:
    return Box(
        box.name, box.text, _line_number(box, printed), box.first, box.end, box.bottom, box.top,
        _cells(box, printed), place_of(box.span, name),
    )  # fmt: skip


def _line_number(box: FieldBox, printed: Print) -> int:
    """Which of all lines, block by block, a box stands in."""
    before = printed.resolved.blocks[: box.block]
    return box.line + sum(len(b.content) for b in before if isinstance(b.content, tuple))


def _cells(box: FieldBox, printed: Print) -> tuple[int, ...]:
    """The stroke at which each character of a box begins."""
    block = printed.resolved.blocks[box.block].content
    assert isinstance(block, tuple)  # pictures have no boxes
    line = block[box.line].line
    setter = printed.code.composer.setter(printed.code.fonts[line.font], line)
    at, cells = box.first, []
    for char in box.text:
        cells.append(at)
        at += setter.advance(char)
    return tuple(cells)


def counter_controls(printed: Print, name: str) -> tuple[CounterControl, ...]:
    """The counters of a message as they were printed."""
    values = printed.resolved.instant.counters
    message = printed.code.message
    return tuple(_counter(one, values[one.name], name) for one in message.counters.values())


def _counter(counter: Counter, value: int, name: str) -> CounterControl:
    from rasterc.values.given.counters import text_of

    values = counter.values
    return CounterControl(
        counter.name, value, text_of(counter, value), min(values[0], values[-1]),
        max(values[0], values[-1]), counter.step, place_of(counter.span, name),
    )  # fmt: skip


def input_controls(
    code: Code, texts: dict[str, str], given: dict[str, str], name: str
) -> tuple[InputControl, ...]:
    """The inputs of a message, with the texts that were printed; those made up for it say so."""
    return tuple(
        _input(rule, texts.get(one, ""), one not in given, name)
        for one, rule in code.plan.inputs.items()
    )


def _input(rule: InputRule, text: str, not_given: bool, name: str) -> InputControl:
    declared = rule.input
    made_up = not_given and declared.default is None
    return InputControl(
        declared.name, text, made_up, declared.choices, declared.pattern or "",
        rule.max_length, place_of(declared.span, name),
    )  # fmt: skip
