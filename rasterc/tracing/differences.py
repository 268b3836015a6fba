"""What two versions of a message print differently."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from zoneinfo import ZoneInfo

from rasterc.diagnostics import Diagnostic
from rasterc.fonts.model import Font
from rasterc.tracing.declared import DeclaredChange
from rasterc.tracing.given import Given
from rasterc.tracing.row_changes import RowChanges
from rasterc.values.dates.offsets import Minutes
from rasterc.values.plan import Plan


@dataclass(frozen=True, slots=True)
class Side:
    """One version: its plan, the values of its counters and inputs, and the fonts it prints in.

    Without fonts, lengths are told in characters only.
    """

    plan: Plan
    given: Given = field(default_factory=Given)
    fonts: Mapping[str, Font] | None = None


@dataclass(frozen=True, slots=True)
class Difference:
    """What the versions print at one moment; a version that prints nothing has ``faults``.

    ``at`` is None for messages that read no clock.
    """

    at: datetime | None
    old: tuple[str, ...]
    new: tuple[str, ...]
    faults: tuple[Diagnostic, ...] = ()


@dataclass(frozen=True, slots=True)
class LongestChange:
    """The largest change in length, positive when the new version is longer, first at ``at``.

    ``at`` is None when nothing changes, or no clock is read. ``line`` counts from 0, -1 for the
    whole message.
    """

    change: int
    at: datetime | None
    line: int = -1


@dataclass(frozen=True, slots=True, eq=False)
class DiffResult:
    """How two versions of a message differ over a horizon.

    Attributes:
        zone: the zone moments are given in; None when neither version reads a clock.
        start, until: the horizon.
        starts, ends: stretches of minutes of UTC at which the lines differ, sorted, apart.
        minutes, days: how many minutes, and how many days of that zone have such a minute.
        line_minutes: the minutes at which each line differs.
        first: the first difference.
        characters: the largest change in the characters of a line.
        strokes: the largest change in the strokes of the message, None without fonts. Check
            characters over both a day and a time count as wide as they are at one moment.
        declared: what is written differently.
        same_look: whether equal texts are printed alike: fonts, rows, spacing, pictures.
        exact: False when too many check characters would have had to be worked out; minutes at
            which only they may differ are then not counted.
        other_values: counters and inputs that both declare and that do not take the same values
            in the same way; the minutes compared are those of one value each.
        rows: rows of product tables that both read and that differ.
    """

    zone: ZoneInfo | None
    start: datetime | None
    until: datetime | None
    starts: Minutes
    ends: Minutes
    minutes: int
    days: int
    line_minutes: tuple[int, ...]
    first: Difference | None
    characters: LongestChange
    strokes: LongestChange | None
    declared: tuple[DeclaredChange, ...]
    same_look: bool
    exact: bool
    other_values: tuple[str, ...] = ()
    rows: RowChanges = field(default_factory=RowChanges)

    def __repr__(self) -> str:
        """How much differs."""
        found = "the same" if self.same else f"{self.minutes} min on {self.days} day(s) differ"
        return f"<DiffResult {self.start} until {self.until}: {found}>"

    @property
    def same(self) -> bool:
        """Whether both versions print the same over the whole horizon."""
        return not (self.minutes or self.other_values or self.rows) and self.same_look
