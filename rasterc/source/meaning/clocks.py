"""Clocks and shifts."""

from __future__ import annotations

from datetime import date

from msgspec import structs

from rasterc.diagnostics import InputError, Span
from rasterc.source.meaning.phrases import Reader, minutes_of, nearest, whole_number
from rasterc.source.meaning.products import sheet_of
from rasterc.source.meaning.scope import Scope
from rasterc.source.pieces import Word
from rasterc.source.products.columns import number_faults
from rasterc.source.repair import foreign_ways
from rasterc.source.times import (
    MAX_TURN_DAYS,
    WEEK,
    Clock,
    MoveTo,
    Offset,
    Shift,
    ShiftPart,
    ShortMonth,
    Step,
    Target,
    Turn,
    Unit,
)
from rasterc.source.tree import syntax as s

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_WEEKDAY_NUMBERS = {word: number for number, day in enumerate(WEEKDAYS) for word in (day, day[:3])}
UNITS = {word: unit for unit in Unit for word in (unit.value, f"{unit.value}s")}
_ROSTER_UNITS = {"day": 1, "days": 1, "week": 7, "weeks": 7}
# About two hundred years: far beyond any shelf life, and still inside the calendar.
MOST_OF_UNIT = {
    Unit.MINUTE: 105_120_000,
    Unit.HOUR: 1_752_000,
    Unit.DAY: 73_000,
    Unit.WEEK: 10_400,
    Unit.MONTH: 2_400,
    Unit.YEAR: 200,
}


def clock(node: s.ClockNode, scope: Scope) -> Clock:
    """The clock a node declares.

    Raises:
        InputError: it has a mistake that leaves no clock.
    """
    if isinstance(node, s.ClockRead):
        day_from = 0
        if node.day_from is not None:
            with scope.problems.catching():
                day_from = minutes_of(node.day_from)
        return Clock(
            node.name.text,
            node.span,
            zone=node.zone.text,
            zone_span=node.zone.span,
            day_from_minutes=day_from,
        )
    steps: list[Step] = []
    for step in node.steps:
        with scope.problems.catching():
            steps.append(_offset(step, scope) if isinstance(step, s.OffsetStep) else _move(step))
    started = _start(node, scope)
    stated = node.short_month
    return structs.replace(
        started,
        steps=tuple(steps),
        short_month=_short_month(stated),
        short_month_span=stated.span if stated else None,
    )


def _start(node: s.ClockDerived, scope: Scope) -> Clock:
    name, first = node.name.text, node.start[0]
    if len(node.start) == 2:
        if first.text != "start":
            raise InputError.one(
                "syntax",
                f'expected "start", but found "{first.text}"',
                first.span,
                "start of SHIFT",
            )
        shift = node.start[1]
        scope.need(shift.text, shift.span, "shift")
        return Clock(name, node.span, shift=shift.text)
    if first.text[0].isdigit():
        return Clock(name, node.span, fixed=date_of(first))
    scope.need(first.text, first.span, "clock")
    return Clock(name, node.span, base=first.text)


def date_of(word: Word) -> date:
    """The date a word writes as year-month-day.

    Raises:
        InputError: there is no such day.
    """
    try:
        return date.fromisoformat(word.text)
    except ValueError:
        raise InputError.one(
            "bad-date",
            f"there is no day {word.text}",
            word.span,
            "dates are written year-month-day: 2028-02-29",
        ) from None


def _offset(node: s.OffsetStep, scope: Scope) -> Offset:
    unit = UNITS.get(node.unit.text)
    if unit is None:
        raise _unknown_unit(node)
    if "." in node.amount.text and not node.amount.text[0].isdigit():
        _check_lives(node.amount, unit, scope)
        sign = -1 if node.sign.text == "-" else 1
        return Offset(sign, unit, node.span, node.amount.text)
    amount = whole_number(node.amount, f"the number of {unit.value}s", 0, MOST_OF_UNIT[unit])
    return Offset(-amount if node.sign.text == "-" else amount, unit, node.span)


def _check_lives(column: Word, unit: Unit, scope: Scope) -> None:
    """Make sure that a column holds numbers of a unit; raises `InputError`."""
    sheet, name = sheet_of(column, scope), column.text.partition(".")[2]
    what = f"a number of {unit.value}s"
    faults = number_faults(sheet, name, what, MOST_OF_UNIT[unit]) if sheet else []
    if faults:
        raise InputError(faults)


def _unknown_unit(node: s.OffsetStep) -> InputError:
    several = "" if node.amount.text == "1" else "s"
    units = [f"{unit.value}{several}" for unit in Unit]
    help = foreign_ways.minus_remedy(node.span.text) or nearest(node.unit.text, units)
    return InputError.one(
        "unknown-unit",
        f'"{node.unit.text}" is no unit of time',
        node.unit.span,
        help or f"units: {', '.join(units)}",
    )


_MOVES = {
    ("month", "start"): Target.MONTH_START,
    ("month", "end"): Target.MONTH_END,
    ("year", "start"): Target.YEAR_START,
    ("year", "end"): Target.YEAR_END,
}


def _move(node: s.MoveStep) -> MoveTo:
    reader = Reader(node.words, node.span)
    first = node.words[0].text
    if first in ("month", "year"):
        reader.word(first)
        target, weekday = _MOVES[first, reader.word("start", "end")], None
    elif first in ("next", "previous"):
        target = Target.NEXT_WEEKDAY if reader.word(first) == "next" else Target.PREVIOUS_WEEKDAY
        weekday = _weekday(reader)
    elif first in _WEEKDAY_NUMBERS:
        target, weekday = Target.WEEKDAY, _weekday(reader)
    else:
        raise _no_move(node)
    reader.end()
    return MoveTo(target, weekday, node.span)


def _no_move(node: s.MoveStep) -> InputError:
    words = [word.text for word in node.words]
    place = Span(node.span.source, node.words[0].span.start, node.span.end)
    fault = foreign_ways.no_move(words, place)
    near = nearest(words[0], ("month", "year", "next", "previous", *_WEEKDAY_NUMBERS))
    if fault.help == foreign_ways.MOVES_HELP and near:
        fault = structs.replace(fault, span=node.words[0].span, help=near)
    return InputError([fault])


def _weekday(reader: Reader) -> int:
    help = "weekdays: mon to sun, or monday to sunday"
    return _WEEKDAY_NUMBERS[reader.word(*_WEEKDAY_NUMBERS, what="a weekday", help=help)]


def _short_month(word: Word | None) -> ShortMonth:
    if word is None:
        return ShortMonth.LAST_DAY
    known = [rule.value for rule in ShortMonth]
    return ShortMonth(Reader([word], word.span).word(*known))


def shift(node: s.ShiftNode, scope: Scope) -> Shift:
    """The shift a node declares.

    Raises:
        InputError: it has a mistake that leaves no shift.
    """
    roster: Turn | None = None
    parts: list[ShiftPart] = []
    with scope.problems.catching():
        roster = _roster(node.roster) if node.roster is not None else None
        for row in node.rows:
            with scope.problems.catching():
                parts.append(_part(row, roster))
        _refuse_same_start(parts, roster)
    if not node.rows:
        raise InputError.one(
            "empty",
            f'the shift "{node.name.text}" has no parts',
            node.name.span,
            'name at least one: { "A" from 06:00  "B" from 18:00 }',
        )
    scope.need(node.clock.text, node.clock.span, "clock")
    return Shift(node.name.text, node.clock.text, tuple(parts), node.span, roster)


def _roster(node: s.RosterNode) -> Turn:
    """The turn of ``every 21 days from 2027-01-04``, or ``every 3 weeks from ...``."""
    each = _ROSTER_UNITS.get(node.unit.text)
    if each is None:
        raise InputError.one(
            "unknown-unit",
            f'expected days or weeks, but found "{node.unit.text}"',
            node.unit.span,
            "a roster comes again after so many days or weeks: every 21 days from 2027-01-04",
        )
    amount = whole_number(node.amount, "the number of days or weeks", 1, MAX_TURN_DAYS // each)
    return Turn(amount * each, date_of(node.start))


def _part(row: s.ShiftRow, roster: Turn | None) -> ShiftPart:
    turn = roster or WEEK
    days = {day for words in row.days for day in _days(words, roster)} or set(range(turn.days))
    return ShiftPart(row.label.text, minutes_of(row.start), tuple(sorted(days)), row.span)


def _days(words: tuple[Word, ...], roster: Turn | None) -> list[int]:
    """The days of ``mon`` or ``sat to mon``, which runs past Sunday; of a roster ``20 to 2``."""
    if roster is None:
        _refuse_dash(words[0])
    numbers = [_day_of_week(word) if roster is None else _day_of(word, roster) for word in words]
    (first, last), days = (numbers[0], numbers[-1]), (roster or WEEK).days
    return [(first + k) % days for k in range((last - first) % days + 1)]


def _day_of_week(word: Word) -> int:
    if not word.text.isdigit():
        return _weekday(Reader([word], word.span))
    raise InputError.one(
        "unknown-option",
        f"days of the week have names, and this is {word.text}",
        word.span,
        "write mon to sun; days of a roster are numbered: "
        "shift NAME of CLOCK every 21 days from 2027-01-04",
    )


def _day_of(word: Word, roster: Turn) -> int:
    """The day of a roster that a number stands for, from 0."""
    if word.text[0].isdigit():
        return whole_number(word, "the day of a roster", 1, roster.days) - 1
    raise InputError.one(
        "unknown-option",
        f'days of a roster are numbered, and this is "{word.text}"',
        word.span,
        f"1 is the stated day, {roster.days} the last one: on 1 to {min(5, roster.days)}",
    )


def _refuse_dash(word: Word) -> None:
    first, dash, last = word.text.partition("-")
    if dash and first in _WEEKDAY_NUMBERS and last in _WEEKDAY_NUMBERS:
        message = f'expected a weekday, but found "{word.text}"'
        raise InputError.one("unknown-option", message, word.span, f"write: {first} to {last}")


def _refuse_same_start(parts: list[ShiftPart], roster: Turn | None) -> None:
    seen: dict[tuple[int, int], ShiftPart] = {}
    for part in parts:
        for day in part.days:
            other = seen.setdefault((day, part.from_minutes), part)
            if other is not part:
                on = WEEKDAYS[day] if roster is None else f"day {day + 1}"
                raise InputError.one(
                    "duplicate-start",
                    f'"{part.label}" begins when "{other.label}" does, on {on}',
                    part.span,
                    "each part of a day needs a start of its own",
                )
