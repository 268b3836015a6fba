"""What is reported: extremes with their witnesses, dates, edges and faults."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from math import log10

from rasterc.diagnostics import Diagnostic, InputError
from rasterc.domain.words import MANY, Count
from rasterc.reading.chances import GeneralRisk
from rasterc.values import Instant, Plan
from rasterc.values.given.counters import text_of


@dataclass(frozen=True, slots=True)
class Witness:
    """Values that show something, and what the lines print then.

    ``instant.when`` is in the zone of the message's first clock, None when it reads no clock;
    ``said`` is the instant in words, with counters in their own digits.
    """

    instant: Instant
    lines: tuple[str, ...]
    said: str

    def as_dict(self) -> dict[str, object]:
        """The witness as plain JSON values."""
        return {**instant_as_dict(self.instant), "said": self.said, "lines": list(self.lines)}


def instant_as_dict(instant: Instant) -> dict[str, object]:
    """An instant as plain JSON values."""
    return {
        "at": instant.when.isoformat() if instant.when else None,
        "counters": dict(instant.counters),
        "inputs": dict(instant.inputs),
    }


def witness_at(plan: Plan, instant: Instant) -> Witness:
    """An instant with what it prints; without lines where the message has no text."""
    try:
        lines = plan.resolve(instant).lines
    except InputError:
        lines = ()
    return Witness(instant, lines, instant_said(plan, instant))


def instant_said(plan: Plan, instant: Instant) -> str:
    """An instant in words: "2028-02-29 05:59, case 42"."""
    when, counters = instant.when, plan.message.counters
    parts = [] if when is None else [when_said(when)]
    parts += [f"{name} {text_of(counters[name], n)}" for name, n in instant.counters.items()]
    parts += [f'{name} "{text}"' for name, text in instant.inputs.items()]
    return ", ".join(parts) or "always"


def when_said(when: datetime) -> str:
    """A moment to the minute, or to the second when that is not 0; told apart when it comes
    twice."""
    text = when.replace(tzinfo=None).isoformat(" ", "seconds" if when.second else "minutes")
    return f"{text} (the second time)" if when.fold else text


@dataclass(frozen=True, slots=True)
class Extreme:
    """The most or least of a measure.

    Attributes:
        name: which one, in words that the command line takes ("longest").
        measure: what it and its counterpart are extremes of ("length").
        title: what it is ("longest code").
        sense: 1 for the most, -1 for the least.
        value, unit: the measure.
        converted: the same in another unit by the line profile, with that unit.
        exact: whether some value really comes to this; else it is only known that none goes
            beyond it, and ``why`` says why.
        witness: the first values, in order of time, that come to it; of a bound, values that come
            near it, with ``at_witness`` what they come to. Of a height they need not be the first.
        first: the first stroke of the first window, of the densest.
        low: the lower end of a misread risk, with ties read right.
        general: of a misread risk, what a general reader makes of the witness.
    """

    name: str
    measure: str
    title: str
    sense: int
    value: float
    unit: str
    witness: Witness
    exact: bool = True
    why: str = ""
    at_witness: float | None = None
    converted: tuple[float, str] | None = None
    first: int | None = None
    low: float | None = None
    general: GeneralRisk | None = None

    @property
    def bound(self) -> str:
        """What stands before the value of a bound."""
        return "" if self.exact else "at most " if self.sense > 0 else "at least "

    def as_dict(self) -> dict[str, object]:
        """The extreme as plain JSON values."""
        return {
            "measure": self.name,
            "title": self.title,
            "value": self.value,
            "unit": self.unit,
            "converted": _converted(self.converted),
            "exact": self.exact,
            "why": self.why,
            "at_witness": self.at_witness,
            "first_stroke": self.first,
            "low": self.low,
            "general": _general(self.general),
            "witness": self.witness.as_dict(),
        }


def _general(risk: GeneralRisk | None) -> dict[str, object] | None:
    if risk is None:
        return None
    pairs = [{"printed": p.printed, "read_as": p.read_as, "chance": p.chance} for p in risk.pairs]
    return {"low": risk.chance.low, "high": risk.chance.high, "pairs": pairs}


def _converted(converted: tuple[float, str] | None) -> dict[str, object] | None:
    return {"value": converted[0], "unit": converted[1]} if converted else None


@dataclass(frozen=True, slots=True)
class DateRange:
    """The first and last date that a field prints."""

    field: str
    first: date
    last: date
    first_witness: Witness
    last_witness: Witness

    def as_dict(self) -> dict[str, object]:
        """The range as plain JSON values."""
        return {
            "field": self.field,
            "first": self.first.isoformat(),
            "last": self.last.isoformat(),
            "first_witness": self.first_witness.as_dict(),
            "last_witness": self.last_witness.as_dict(),
        }


@dataclass(frozen=True, slots=True)
class Edge:
    """An instant worth a look, because something begins or ends there."""

    name: str
    witness: Witness

    def as_dict(self) -> dict[str, object]:
        """The edge as plain JSON values."""
        return {"edge": self.name, **self.witness.as_dict()}


@dataclass(frozen=True, slots=True)
class Fault:
    """Values for which the message cannot be printed, and why."""

    instant: Instant
    said: str
    diagnostic: Diagnostic

    def as_dict(self) -> dict[str, object]:
        """The fault as plain JSON values."""
        return {
            **self.diagnostic.as_dict(),
            "said": self.said,
            "instant": instant_as_dict(self.instant),
        }

    def lines(self) -> list[str]:
        """The fault in lines, like those of a diagnostic."""
        return [*self.diagnostic.lines(), f"  at {self.said}"]


@dataclass(frozen=True, slots=True)
class ExtremesReport:
    """What a message can come to over a stretch of time and all its other values.

    Attributes:
        start, end: the stretch, end excluded; every minute of it was covered, and every second
            when seconds are printed.
        strings: how many distinct strings were covered.
        notes: what was not looked at.
        all_known: whether ``faults`` tells of every kind there is.
    """

    message: str
    start: datetime
    end: datetime
    strings: Count
    extremes: tuple[Extreme, ...]
    dates: tuple[DateRange, ...]
    edges: tuple[Edge, ...]
    faults: tuple[Fault, ...]
    notes: tuple[str, ...] = ()
    all_known: bool = True

    def is_steady(self, extreme: Extreme) -> bool:
        """Whether the most and the least of what an extreme measures are both here, and equal."""
        alike = [other for other in self.extremes if other.measure == extreme.measure]
        return len(alike) > 1 and all(o.exact and o.value == extreme.value for o in alike)

    def __repr__(self) -> str:
        """The message, the stretch, and the names of the extremes."""
        named = ", ".join(extreme.name for extreme in self.extremes)
        span = f"{self.start.date()} until {self.end.date()}"
        return f"<ExtremesReport {self.message}, {span}: {named}; {len(self.faults)} fault(s)>"

    @property
    def by_name(self) -> Mapping[str, Extreme]:
        """The extremes by name."""
        return {extreme.name: extreme for extreme in self.extremes}

    def as_dict(self) -> dict[str, object]:
        """The report as plain JSON values."""
        return {
            "message": self.message,
            "from": self.start.isoformat(),
            "until": self.end.isoformat(),
            "strings": self.strings.number if self.strings.number < MANY else None,
            "strings_log10": round(log10(self.strings.number), 2) if self.strings.number else None,
            "strings_exact": self.strings.exact,
            "extremes": [extreme.as_dict() for extreme in self.extremes],
            "dates": [dates.as_dict() for dates in self.dates],
            "edges": [edge.as_dict() for edge in self.edges],
            "faults": [fault.as_dict() for fault in self.faults],
            "notes": list(self.notes),
        }
