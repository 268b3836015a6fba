"""From the pieces of a plan to terms, over one timeline."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import datetime, time
from enum import Enum
from itertools import groupby

import numpy as np
from msgspec import structs

from rasterc.diagnostics import InputError
from rasterc.domain.calendar import date_of
from rasterc.domain.timeline import Timeline, Which
from rasterc.domain.tracks import Track
from rasterc.tracing.entries import has_points
from rasterc.tracing.templates import applied
from rasterc.tracing.terms import (
    ByCell,
    ByMinute,
    BySecond,
    Changed,
    CheckTerm,
    CounterTerm,
    Fixed,
    InputTerm,
    Joined,
    Term,
    Texts,
)
from rasterc.values.dates.clocks import ClockValue
from rasterc.values.dates.patterns import Part, Shows
from rasterc.values.dates.shifts import MINUTES_PER_DAY
from rasterc.values.fields.kinds import (
    CheckText,
    ClockTable,
    ClockText,
    CounterText,
    FieldPlan,
    InputText,
    JoinedText,
    Piece,
    ShiftText,
)
from rasterc.values.fields.options import Lower, NoPoints, Option, Upper
from rasterc.values.given.inputs import InputRule
from rasterc.values.given.tables import by_time
from rasterc.values.model import Run
from rasterc.values.plan import Plan

_NO_DAY = date_of(0)
_MIDNIGHT = datetime.combine(_NO_DAY, time())


class _Goes(Enum):
    """What the text of a pattern's part goes by."""

    DAY = "day"
    MINUTE = "minute"
    SECOND = "second"


class TermMaker:
    """Makes the terms of a plan's pieces over a timeline."""

    def __init__(self, plan: Plan, line: Timeline) -> None:
        self.plan = plan
        self.line = line

    def joined(self, pieces: Iterable[Piece], options: tuple[Option, ...] = ()) -> Term:
        """The term of pieces one after another, with options applied to the whole.

        Options that change each character on its own are applied to each piece instead.
        """
        own, rest = _characterwise(options)
        terms = [term for piece in pieces for term in self._terms(piece, own)]
        whole = Joined(tuple(terms))
        return Changed(whole, rest) if rest else whole

    def _terms(self, piece: Piece, options: tuple[Option, ...]) -> Sequence[Term]:
        """The terms of a piece with more options after its own."""
        if isinstance(piece, Run):
            text = applied(options, piece.text)
            assert text is not None  # no table, no part among these options
            return [Fixed(text)]
        return self._field(piece, (*piece.options, *options))

    def _field(self, plan: FieldPlan, options: tuple[Option, ...]) -> Sequence[Term]:
        match plan.source:
            case ClockText():
                return self._clock_text(plan.source, options)
            case ClockTable(clock, table, span):
                return self._by_minute(clock, lambda v: by_time(table, v.wall, span), options)
            case ShiftText(shift):
                running = self.line.shifts[shift]
                labels = self.plan.schedules[shift].labels
                texts = [applied(options, label) for label in labels]
                return [ByCell(_texts(texts, np.where(running.began.valid, running.point, -1)))]
            case CounterText(counter, width, fill):
                return [CounterTerm(counter, width, fill, options)]
            case InputText(rule):
                return [InputTerm(rule, _without_needless(options, rule))]
            case JoinedText(_, pieces):
                return [self.joined(pieces, options)]
            case CheckText(_, algorithm, _):
                return [CheckTerm(structs.replace(plan, options=options), algorithm)]
        raise AssertionError(f"no term for {plan.source}")

    def _clock_text(self, source: ClockText, options: tuple[Option, ...]) -> Sequence[Term]:
        groups = _groups(source.pattern.parts)
        if len(groups) == 1:
            return self._group(source.clock, *groups[0], options)
        own, rest = _characterwise(options)
        terms = [t for goes, parts in groups for t in self._group(source.clock, goes, parts, own)]
        return [Changed(Joined(tuple(terms)), rest)] if rest else terms

    def _group(
        self, clock: str, goes: _Goes, parts: Sequence[Part], options: tuple[Option, ...]
    ) -> Sequence[Term]:
        def render(value: ClockValue) -> str:
            return "".join([part.render(value) for part in parts])

        if goes is _Goes.DAY:
            return self._by_day(clock, render, options)
        if goes is _Goes.MINUTE:
            return self._by_minute(clock, render, options)
        return self._by_second(clock, render, options)

    def _by_day(self, clock: str, render: _Render, options: tuple[Option, ...]) -> Sequence[Term]:
        track = self.line.clocks[clock]
        days, which = np.unique(track.day, return_inverse=True)
        values = (ClockValue(_MIDNIGHT, date_of(day)) for day in days)
        texts = [_text(render, value, options) for value in values]
        return [ByCell(_texts(texts, np.where(track.valid, which, -1)))]

    def _by_minute(
        self, clock: str, render: _Render, options: tuple[Option, ...]
    ) -> Sequence[Term]:
        track = self.line.clocks[clock]
        minutes = (_MIDNIGHT.replace(hour=m // 60, minute=m % 60) for m in range(MINUTES_PER_DAY))
        texts = [_text(render, ClockValue(wall, _NO_DAY), options) for wall in minutes]
        if track.runs:
            return [*_valid(track), ByMinute(clock, _texts(texts, np.arange(MINUTES_PER_DAY)))]
        minute = track.wall % MINUTES_PER_DAY
        return [ByCell(_texts(texts, np.where(track.valid, minute, -1)))]

    def _by_second(
        self, clock: str, render: _Render, options: tuple[Option, ...]
    ) -> Sequence[Term]:
        track = self.line.clocks[clock]
        walls = (_MIDNIGHT.replace(second=second) for second in range(60))
        texts = [_text(render, ClockValue(wall, _NO_DAY), options) for wall in walls]
        if track.runs:
            return [*_valid(track), BySecond(_texts(texts, np.arange(60)))]
        # a shift's start and a fixed date are whole minutes
        return [ByCell(_texts(texts, np.where(track.valid, 0, -1)))]


def _valid(track: Track) -> Sequence[Term]:
    """An empty text where the track is valid and none elsewhere; nothing if it is everywhere."""
    return [] if track.valid.all() else [ByCell(_texts([""], np.where(track.valid, 0, -1)))]


_Render = Callable[[ClockValue], str]


def _text(render: _Render, value: ClockValue, options: tuple[Option, ...]) -> str | None:
    try:
        return applied(options, render(value))
    except InputError:  # a table without a row for this time
        return None


def _texts(texts: Sequence[str | None], which: Which) -> Texts:
    """Each text once; ``which`` tells the places of ``texts``, -1 for none."""
    distinct = {text: i for i, text in enumerate(dict.fromkeys(t for t in texts if t is not None))}
    index = np.array([-1 if t is None else distinct[t] for t in texts] + [-1], np.intp)
    return Texts(tuple(distinct), index[which])


def _groups(parts: Sequence[Part]) -> list[tuple[_Goes, list[Part]]]:
    """Neighbouring parts that go by the same; literal text goes with what stands before it."""
    goes = _Goes.DAY
    kinds: list[_Goes] = []
    lead = next((_goes(part) for part in parts if part.letter), _Goes.DAY)
    for part in parts:
        goes = _goes(part) if part.letter else goes if kinds else lead
        kinds.append(goes)
    pairs = groupby(zip(kinds, parts, strict=True), key=lambda pair: pair[0])
    return [(kind, [part for _, part in group]) for kind, group in pairs]


def _goes(part: Part) -> _Goes:
    if part.shows is Shows.DAY:
        return _Goes.DAY
    return _Goes.SECOND if part.letter == "s" else _Goes.MINUTE


def _characterwise(options: tuple[Option, ...]) -> tuple[tuple[Option, ...], tuple[Option, ...]]:
    """Leading options that change a text piece by piece just as they change it whole.

    So do cases, as the pieces of a code that stand side by side are not letters of one word, and
    taking out points.
    """
    count = 0
    while count < len(options) and isinstance(options[count], Upper | Lower | NoPoints):
        count += 1
    return options[:count], options[count:]


def _without_needless(options: tuple[Option, ...], rule: InputRule) -> tuple[Option, ...]:
    """Options without `no-points` when the input has none at the beginning."""
    if has_points(rule):
        return options
    own, rest = _characterwise(options)
    return tuple(option for option in own if option != NoPoints()) + rest
