"""Inputs that are dates: their form, and the days they may be."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

from msgspec import structs

from rasterc.diagnostics import InputError
from rasterc.source.declarations import DateForm, DateLimit, Input
from rasterc.source.meaning.clocks import MOST_OF_UNIT, UNITS, date_of
from rasterc.source.meaning.phrases import Handler, Reader
from rasterc.source.meaning.scope import Scope
from rasterc.source.times import Offset, Unit

_CALENDAR = {word: unit for word, unit in UNITS.items() if unit.elapsed_minutes is None}
_OTHERS = "a date takes no pattern, choices, length or default: it is typed each time"


def date_handlers(scope: Scope) -> Mapping[str, Handler[Input]]:
    """What reads the options of dates."""
    return {"date": _date, "within": partial(_within, scope), "not": partial(_not, scope)}


def check_date(given: Input) -> None:
    """Refuse what does not go together.

    Raises:
        InputError: there are limits and no date, or options of other inputs.
    """
    assert given.date is not None
    if not given.date.pattern:
        message = "these are limits of a date, and the form of the date is missing"
        span = given.date.limits[0].span
        raise InputError.one("missing-date", message, span, 'say how it is typed: date "dd.MM.yy"')
    others = (given.pattern, given.choices, given.max_length, given.default)
    if any(other is not None and other != () for other in others):
        raise InputError.one(
            "conflicting-options", _OTHERS, given.date.span, "keep the date, or the others"
        )


def _date(given: Input, reader: Reader) -> Input:
    word = reader.quoted("the form of the date, dd.MM.yy say,")
    known = given.date or DateForm("", word.span)
    return structs.replace(given, date=structs.replace(known, pattern=word.text, span=word.span))


def _within(scope: Scope, given: Input, reader: Reader) -> Input:
    """``within 3 years after packed``: from that day to three years later."""
    amount_place = reader.here
    amount = reader.number("how many days, weeks, months or years", 0, MOST_OF_UNIT[Unit.DAY])
    unit_place = reader.here
    unit = _CALENDAR[reader.word(*_CALENDAR, what="days, weeks, months or years")]
    if amount > MOST_OF_UNIT[unit]:
        message = f"{amount:,} {unit}s are too many"
        help = f"at most {MOST_OF_UNIT[unit]:,}"
        raise InputError.one("bad-number", message, amount_place, help)
    after = reader.word("before", "after") == "after"
    near = _limit(scope, reader, is_first=after)
    step = Offset(amount if after else -amount, unit, unit_place)
    near = structs.replace(near, span=reader.whole)
    far = structs.replace(near, is_first=not after, steps=(step,))
    return _limited(given, near, far)


def _not(scope: Scope, given: Input, reader: Reader) -> Input:
    """``not before packed``, ``not after 2029-12-31``."""
    limit = _limit(scope, reader, is_first=reader.word("before", "after") == "before")
    return _limited(given, structs.replace(limit, span=reader.whole))


def _limit(scope: Scope, reader: Reader, *, is_first: bool) -> DateLimit:
    word = reader.any("a clock or a date, 2029-12-31 say,")
    if word.text[:1].isdigit() and not word.quoted:
        return DateLimit(is_first, word.span, fixed=date_of(word))
    scope.need(word.text, word.span, "clock")
    return DateLimit(is_first, word.span, base=word.text)


def _limited(given: Input, *limits: DateLimit) -> Input:
    known = given.date or DateForm("", limits[0].span)
    return structs.replace(given, date=structs.replace(known, limits=(*known.limits, *limits)))
