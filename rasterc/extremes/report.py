"""Every extreme of a message, over all values it can take."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from math import expm1, log1p

from rasterc.diagnostics import InputError, fail_on_errors
from rasterc.domain.horizon import Horizon, horizon
from rasterc.domain.progress import Progress, quiet
from rasterc.extremes.dates import date_ranges, typed_ranges
from rasterc.extremes.edges import edges
from rasterc.extremes.group import HIGHEST
from rasterc.extremes.height import smallest_line
from rasterc.extremes.kinds import (
    DENSEST,
    DROPS,
    HIGHEST_HEIGHT,
    KINDS,
    LONGEST,
    LOWEST_HEIGHT,
    MISREAD_RISK,
    wanted_kinds,
)
from rasterc.extremes.meter import Meter
from rasterc.extremes.model import Extreme, ExtremesReport, Fault
from rasterc.extremes.optimum import Optimum, literal_vector
from rasterc.extremes.risk import LEAST_CHANCE, RISK_STEPS, RiskMeter
from rasterc.extremes.search import Search, search_of
from rasterc.extremes.strings import count_strings
from rasterc.extremes.union import union_of
from rasterc.extremes.window import densest, first_window
from rasterc.fonts.model import Font
from rasterc.layout import Composer, compile_strokes, lay_out
from rasterc.layout.model import MAX_STROKES
from rasterc.profile.model import LineProfile
from rasterc.values import Plan

DEFAULT_WINDOW = 20  # strokes


def extremes(
    plan: Plan,
    fonts: Mapping[str, Font],
    start: date | datetime,
    years: int = 10,
    *,
    profile: LineProfile | None = None,
    window: int = DEFAULT_WINDOW,
    loss: float | None = None,
    measures: Sequence[str] = (),
    composer: Composer | None = None,
    progress: Progress = quiet,
) -> ExtremesReport:
    """What a message can come to over so many years and all counters, inputs and choices.

    Every minute is covered, and every second when seconds are printed. Clocks move together;
    counters and inputs vary freely, also where a restart ties a counter to the time.

    Args:
        plan: the message.
        fonts: the fonts of its lines.
        start: the first minute; a date or naive time is told in the zone of its first clock.
        years: calendar years that are looked at.
        profile: gives lengths in mm, at the speed that makes the code longest, and ink.
        window: strokes of the window for ``densest``.
        loss: share of lost drops for the misread risk, which is not told without.
        measures: which of `KINDS`; all when empty.
        composer: what sets characters and remembers them.
        progress: told what is done when that takes long.

    Raises:
        InputError: the message has faults, does not fit its raster whatever it prints, or leaves
            the years that can be looked at; or an unknown measure.
    """
    return extremes_within(
        plan,
        fonts,
        horizon(plan, start, years),
        profile=profile,
        window=window,
        loss=loss,
        measures=measures,
        composer=composer,
        progress=progress,
    )


def extremes_within(
    plan: Plan,
    fonts: Mapping[str, Font],
    stretch: Horizon,
    *,
    profile: LineProfile | None = None,
    window: int = DEFAULT_WINDOW,
    loss: float | None = None,
    measures: Sequence[str] = (),
    composer: Composer | None = None,
    progress: Progress = quiet,
) -> ExtremesReport:
    """The same over any stretch of whole minutes; see `extremes`."""
    fail_on_errors(plan.faults)
    wanted = wanted_kinds(measures, loss)
    if window < 1:
        raise InputError.one("bad-window", f"a window of {window} strokes", help="give 1 or more")
    composer = composer or Composer()
    found = [
        _of_plain(case, fonts, stretch, profile, window, loss, wanted, composer, progress)
        for case in plan.plain()
    ]
    return found[0] if len(found) == 1 else union_of(found)


def _of_plain(
    plan: Plan,
    fonts: Mapping[str, Font],
    stretch: Horizon,
    profile: LineProfile | None,
    window: int,
    loss: float | None,
    wanted: Sequence[str],
    composer: Composer,
    progress: Progress,
) -> ExtremesReport:
    """The extremes of a message whose dates depend on no row of a table."""
    search = search_of(plan, fonts, stretch, composer, progress)
    faults = list(search.faults())
    finder = _Finder(search, window, loss, progress)
    found = [extreme for name in wanted if (extreme := finder.extreme(name)) is not None]
    faults += _too_long(search, found)
    return ExtremesReport(
        plan.message.name,
        stretch.start,
        stretch.end,
        count_strings(search.groups.groups, search.atoms),
        tuple(replace(e, converted=_converted(e, profile, plan)) for e in found),
        (
            *date_ranges(plan, search.tracks(), search.witness),
            *typed_ranges(plan, stretch.minutes, search.witness),
        ),
        tuple(edges(plan, search.tracks(), search.witness)),
        tuple(faults),
        tuple(search.groups.notes),
        search.is_printable(),
    )


def _too_long(search: Search, found: Sequence[Extreme]) -> Iterator[Fault]:
    for extreme in found:
        if extreme.name == LONGEST and extreme.value > MAX_STROKES:
            yield from search.refused(extreme.witness.instant)


def _converted(
    extreme: Extreme, profile: LineProfile | None, plan: Plan
) -> tuple[float, str] | None:
    if profile is None:
        return None
    return KINDS[extreme.name].of.convert(extreme.value, profile, plan.message.raster)


@dataclass(frozen=True, slots=True)
class _Finder:
    """Finds extremes, of each name in its own way."""

    search: Search
    window: int
    loss: float | None
    progress: Progress

    def extreme(self, name: str) -> Extreme | None:
        """The extreme of a name; None when nothing can be printed."""
        self.progress(f"looking for the {KINDS[name].title.format(window=self.window)}")
        if name == DENSEST:
            return self._densest()
        if name == MISREAD_RISK:
            return self._risk()
        if name in (LOWEST_HEIGHT, HIGHEST_HEIGHT):
            return self._height(name)
        kind = KINDS[name]
        meter = self.search.meter(kind.of)
        found, whys = self.search.optimum(meter, kind.sense)
        if found is None:
            return None
        extreme = self._told(name, found, whys)
        if not whys:
            return extreme
        lines = literal_vector(meter, extreme.witness.lines)
        return _reaching(extreme, int(meter.total(lines)[0]))

    def _told(self, name: str, found: Optimum, whys: Sequence[str]) -> Extreme:
        kind, why = KINDS[name], "; ".join(dict.fromkeys(whys))
        witness = self.search.witness(found.assignment)
        title = kind.title.format(window=self.window)
        return Extreme(
            name, kind.of.name, title, kind.sense, found.value, kind.of.unit, witness, not why, why
        )

    def _height(self, name: str) -> Extreme | None:
        whys: list[str] = []

        def find(meter: Meter, sense: int) -> Optimum | None:
            found, why = self.search.optimum(meter, sense)
            whys.extend(why)
            return found

        found = smallest_line(self.search.forms, KINDS[name].sense, find)
        return None if found is None else self._told(name, found, whys)

    def _densest(self) -> Extreme | None:
        search = self.search
        most, whys = search.optimum(search.meter(DROPS), HIGHEST)
        dense = densest(
            search.plan, search.groups.groups, search.atoms, search.forms, search.composer,
            self.window, most, self.progress,
        )  # fmt: skip
        if dense.optimum is None:
            return None
        extreme = self._told(DENSEST, dense.optimum, [dense.why] if dense.why else whys)
        if not extreme.exact:
            return extreme
        try:
            layout = lay_out(
                search.plan.resolve(extreme.witness.instant), search.fonts, search.composer
            )
        except InputError:  # told of among the faults
            return extreme
        return replace(extreme, first=first_window(compile_strokes(layout), self.window))

    def _risk(self) -> Extreme | None:
        assert self.loss is not None
        search = self.search
        meter = RiskMeter(search.plan, search.forms, self.loss)
        found, whys = search.optimum(meter, HIGHEST)
        if found is None:
            return None
        whys += meter.why_not_exact()
        extreme = self._told(MISREAD_RISK, found, whys)
        resolved = search.plan.resolve(extreme.witness.instant)
        chance = meter.chance(resolved, search.fonts)
        extreme = replace(extreme, general=meter.general(resolved, search.fonts))
        if extreme.exact:
            return replace(extreme, value=100 * chance.high, low=100 * chance.low)
        # What is fixed in the fields is the same in all prints; what varies is at most `found`.
        moment = search.plan.at(extreme.witness.instant)
        varies = meter.varying(search.atoms, moment)
        fixed = -log1p(-min(chance.high, 1 - LEAST_CHANCE)) - varies / RISK_STEPS
        most = -100 * expm1(-(found.value / RISK_STEPS + fixed))
        return _reaching(replace(extreme, value=most), 100 * chance.high)


def _reaching(extreme: Extreme, reached: float) -> Extreme:
    """A bound, with what its witness comes to; when that is the bound, it is exact."""
    if reached == extreme.value:
        return replace(extreme, exact=True, why="")
    return replace(extreme, at_witness=reached)
