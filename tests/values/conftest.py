"""Messages built by hand, for tests that look at values only."""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import SimpleNamespace

import pytest

from rasterc.diagnostics import SourceText, Span
from rasterc.source.declarations import Check, Counter, Input, Table, Text
from rasterc.source.message import Block, Line, Message
from rasterc.source.pieces import Argument, Field, Literal, Piece, Word
from rasterc.source.times import Clock, MoveTo, Offset, Shift, ShiftPart, Target, Unit

NOWHERE = Span(SourceText("test", ""), 0, 0)
WEEK = tuple(range(7))


def span(text: str) -> Span:
    return Span(SourceText("test", text), 0, len(text))


def pieces(text: str) -> tuple[Piece, ...]:
    """Fields and quoted literals of a line as the language writes them: `"L" lot(upper)`."""
    source = SourceText("test", text)
    found = re.finditer(r'"(?P<literal>[^"]*)"|(?P<name>[\w-]+)(?P<arguments>\([^()]*\))?', text)
    return tuple(_piece(match, source) for match in found)


def _piece(match: re.Match[str], source: SourceText) -> Piece:
    place = Span(source, match.start(), match.end())
    if match["literal"] is not None:
        return Literal(match["literal"], place)
    if match["arguments"] is None:
        return Field(match["name"], (), place)
    inside = Span(source, match.start("arguments") + 1, match.end("arguments") - 1)
    return Field(match["name"], _arguments(inside), place)


def _arguments(inside: Span) -> tuple[Argument, ...]:
    """Split at commas that stand neither in apostrophes nor in double quotes."""
    parts = re.finditer(r"""(?:'[^']*'|"[^"]*"|[^,'"])+""", inside.text)
    return tuple(_argument(inside.part(m.start(), m.end())) for m in parts)


def _argument(place: Span) -> Argument:
    raw = place.text.strip()
    start = len(place.text) - len(place.text.lstrip())
    place = place.part(start, start + len(raw))
    words = tuple(
        Word(m[0].strip('"'), place.part(m.start(), m.end()), m[0].startswith('"'))
        for m in re.finditer(r'"[^"]*"|\S+', raw)
    )
    return Argument(raw, words, place)


def by_name(items: Mapping[str, object] | list) -> dict:
    return {item.name: item for item in items}


def message(*lines: str, **declared: object) -> Message:
    """A message with these lines; declarations by kind, as lists."""
    kinds = ("clocks", "shifts", "counters", "inputs", "tables", "texts", "checks")
    given = {kind: by_name(declared.get(kind, [])) for kind in kinds}
    content = tuple(Line(pieces(line), span(line), "font", NOWHERE) for line in lines)
    return Message(
        name="test",
        raster=16,
        language=declared.get("language", "en"),
        language_span=None,
        blocks=(Block(content, 0, NOWHERE),),
        requires=(),
        expects=(),
        span=NOWHERE,
        raster_span=NOWHERE,
        **given,
    )


def clock(name: str = "packed", zone: str = "Europe/Dublin", day_from: int = 0) -> Clock:
    return Clock(name, NOWHERE, zone=zone, zone_span=span(f'"{zone}"'), day_from_minutes=day_from)


def derived(name: str, base: str, *steps: object, **options: object) -> Clock:
    return Clock(name, NOWHERE, base=base, steps=steps, **options)


def plus(amount: int, unit: str) -> Offset:
    return Offset(amount, Unit(unit), NOWHERE)


def to(target: str, weekday: int | None = None) -> MoveTo:
    return MoveTo(Target(target), weekday, NOWHERE)


def shift(name: str, of: str, *parts: tuple) -> Shift:
    """Parts are (label, minute) or (label, minute, weekdays)."""
    made = (ShiftPart(p[0], p[1], p[2] if len(p) > 2 else WEEK, span(p[0])) for p in parts)
    return Shift(name, of, tuple(made), NOWHERE)


def counter(name: str, first: int, last: int, **options: object) -> Counter:
    return Counter(name, first, last, NOWHERE, **options)


def input_(name: str, pattern: str | None = None, **options: object) -> Input:
    place = None if pattern is None else span(f'"{pattern}"')
    return Input(name, NOWHERE, pattern, place, **options)


def table(name: str, rows: Mapping[str, str], **options: object) -> Table:
    return Table(name, rows, NOWHERE, **options)


def text(name: str, written: str) -> Text:
    return Text(name, pieces(written), NOWHERE)


def check(name: str, algorithm: str, written: str) -> Check:
    return Check(name, algorithm, span(algorithm), pieces(written), NOWHERE)


@pytest.fixture(scope="session")
def make() -> SimpleNamespace:
    """The builders above."""
    return SimpleNamespace(
        message=message,
        clock=clock,
        derived=derived,
        plus=plus,
        to=to,
        shift=shift,
        counter=counter,
        input=input_,
        table=table,
        text=text,
        check=check,
        span=span,
        nowhere=NOWHERE,
    )
