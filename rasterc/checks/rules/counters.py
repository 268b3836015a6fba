"""Do counters last, and are their numbers told apart?"""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, inf

from rasterc.checks.clock_changes import next_backward
from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.checks.pace import MINUTES_PER_DAY, most_products
from rasterc.checks.printed.dates import marks
from rasterc.checks.printed.durability import chain_of
from rasterc.checks.printed.tokens import Token
from rasterc.diagnostics import Severity, Span
from rasterc.source.declarations import AtEnd, Counter, MoveTo
from rasterc.values.dates.patterns import LETTERS
from rasterc.values.fields.kinds import ClockTable, CounterText, InputText, ShiftText
from rasterc.values.given.counters import prints

_COUNTED = """
message example {{
  raster 7
  font upright-7
  clock packed in "Europe/Dublin"
  counter case from 1 to {last}, restart daily of packed, at end {end}
  block {{ line: packed({date}) " " case({width}) }}
  expect at 2027-11-25 14:05 {{ "{text}" }}
}}
"""


class CounterEnds(Rule):
    """A counter's values against the products between two restarts."""

    id = "counter-ends"
    title = "The counter ends before it starts again"
    needs_profile = True
    samples = True
    rationale = (
        "A counter that stops at its last value stops the line, in the middle of a long day. Its "
        "values must last for every product that can pass until it restarts: the profile's "
        "products_per_day, else all that fit at the fastest speed one behind another. The day on "
        "which clocks go back has 25 hours."
    )
    source = "kinematics: products = speed / product pitch x time"
    trips = Example(
        _COUNTED.format(last=9999, end="stop", date="yyDDD", width="0000", text="27329 0001"),
    )
    passes = Example(
        _COUNTED.format(
            last=9999999, end="stop", date="yyDDD", width="0000000", text="27329 0000001"
        ),
    )

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every printed counter that stops too early."""
        for counter, span in _counters(subject):
            minutes = _restart_minutes(subject, counter)
            if counter.at_end is not AtEnd.STOP or minutes == inf or subject.profile is None:
                continue
            most, has = most_products(subject.profile, minutes), prints(counter)
            if most is not None and most > has:
                needed = ceil(most / counter.repeat)
                yield self.finding(
                    subject,
                    f"counter {counter.name} has {has} prints; up to {ceil(most)} products pass "
                    f"until it restarts, in {minutes / 60:g} hours",
                    span,
                    f"let it take {needed} values ({_digits(needed, counter)} characters), or "
                    "state products_per_day in the profile if fewer are coded",
                    measured=has,
                    limit=ceil(most),
                    unit="prints",
                )


class CounterWraps(Rule):
    """A counter that begins again while everything else that is printed stays the same."""

    id = "counter-wraps"
    title = "The counter begins again, and nothing printed tells the codes apart"
    severity = Severity.WARNING
    needs_profile = True
    rationale = (
        "`at end wrap` is right when the date or the hour beside the counter has changed by then. "
        "If more products pass while they stay the same, two products carry one code."
    )
    source = "kinematics: products = speed / product pitch x time"
    trips = Example(
        _COUNTED.format(last=9999, end="wrap", date="yyDDD", width="0000", text="27329 0001")
    )
    passes = Example(
        _COUNTED.format(
            last=9999, end="wrap", date="yyDDD HH:mm", width="0000", text="27329 14:05 0001"
        )
    )

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every printed counter that wraps too early."""
        for counter, span in _counters(subject):
            if counter.at_end is not AtEnd.WRAP:
                continue
            same = min(_same_minutes(subject), _restart_minutes(subject, counter))
            most = inf if same == inf else _most(subject, same)
            if most is not None and most > prints(counter):
                passing = "any number of" if most == inf else f"up to {ceil(most)}"
                yield self.finding(
                    subject,
                    f"counter {counter.name} begins again after {prints(counter)} prints; "
                    f"{passing} products pass before anything else in the code changes",
                    span,
                    "let it run further, print a finer time beside it (HH:mm), or let it stop at "
                    "its end",
                    measured=prints(counter),
                    limit=None if most == inf else ceil(most),
                    unit="prints",
                )


class RestartUnprinted(Rule):
    """A counter that starts again when nothing printed changes."""

    id = "restart-unprinted"
    title = "The counter starts again, and the code does not say when"
    severity = Severity.WARNING
    rationale = (
        "A counter that starts again each day is unique only together with the day. Without it "
        "in the code, the same number comes every day."
    )
    source = "common practice, no source"
    trips = Example(
        _COUNTED.format(last=9999999, end="stop", date="MMM yyyy", width="0000000",
                        text="Nov 2027 0000001")
    )  # fmt: skip
    passes = Example(
        _COUNTED.format(last=9999999, end="stop", date="dd MMM yyyy", width="0000000",
                        text="25 Nov 2027 0000001")
    )  # fmt: skip

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every printed counter whose period is not printed."""
        if _prints(subject, InputText):
            return  # a lot, say, that is new each time
        for counter, span in _counters(subject):
            if not _tells_restart(subject, counter):
                yield self.finding(
                    subject,
                    f"counter {counter.name} restarts ({counter.restart}), and the code does not "
                    "tell when: the same numbers come again",
                    span,
                    "print the shift" if counter.restart.of == "shift"
                    else f"print the date of clock {counter.restart_of}, or `restart never`",
                )  # fmt: skip


def _tells_restart(subject: Subject, counter: Counter) -> bool:
    """Whether what is printed of the clock it restarts with changes when it does."""
    own = [m for m in marks(subject) if _goes_with(subject, m.clock, counter)]
    shown = {LETTERS[letter].part.name for mark in own for letter in mark.letters}
    if counter.restart.of == "shift" and _prints(subject, ShiftText):
        return True
    return not counter.restart.of or any(shown.issuperset(by) for by in counter.restart.shown_by)


def _goes_with(subject: Subject, clock: str, counter: Counter) -> bool:
    """Whether a clock shows the day of production: not a date that is months ahead, nor fixed.

    A day some days ahead changes with the day of production; one moved to a month's end does not.
    """
    if counter.restart.of == "shift":
        return True
    chain = chain_of(subject, clock)
    moved = any(isinstance(step, MoveTo) for each in chain for step in each.steps)
    return chain[0].fixed is None and not moved


def _counters(subject: Subject) -> Iterator[tuple[Counter, Span]]:
    """The printed counters, each once, with the place of its declaration."""
    sources = [f.source for f in subject.plan.fields if isinstance(f.source, CounterText)]
    for counter in {source.counter.name: source.counter for source in sources}.values():
        yield counter, counter.span


def _prints(subject: Subject, kind: type) -> bool:
    return any(isinstance(field.source, kind) for field in subject.plan.fields)


def _restart_minutes(subject: Subject, counter: Counter) -> float:
    """The longest time between two restarts, in minutes."""
    name, longest = counter.restart_of, counter.restart.longest_days * MINUTES_PER_DAY
    if name is None:
        return inf
    if counter.restart.of == "shift":
        return min(_longest_shift(subject, name), longest)
    zone, when = subject.plan.clocks[name].zone, subject.when
    change = next_backward(zone, when) if zone and when else None
    return longest - (change.shift.total_seconds() / 60 if change else 0)


def _longest_shift(subject: Subject, name: str) -> int:
    points = subject.plan.schedules[name].points
    week = 7 * MINUTES_PER_DAY
    return max((b - a) % week or week for a, b in zip(points, points[1:] + points[:1], strict=True))


def _same_minutes(subject: Subject) -> float:
    """How long everything printed but counters stays the same, in minutes."""
    return min((_unit_minutes(part) for mark in marks(subject) for part in mark.parts), default=inf)


def _unit_minutes(part: Token) -> float:
    source = part.field.source if part.field else None
    if isinstance(source, ClockTable) and source.table.every_minutes:
        return float(source.table.every_minutes)
    return LETTERS[part.letter].part.longest_minutes


def _most(subject: Subject, minutes: float) -> float | None:
    return most_products(subject.profile, minutes) if subject.profile else None


def _digits(values: int, counter: Counter) -> int:
    """Characters that so many values take in the counter's digits."""
    width, reach = 1, len(counter.digits)
    while reach <= values:
        width, reach = width + 1, reach * len(counter.digits)
    return width
