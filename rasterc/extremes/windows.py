"""Windows of strokes over a code whose fields have known widths: the drops in each."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate

import numpy as np
from numpy.typing import NDArray

from rasterc.domain.atoms import Atom, Literal, Varying
from rasterc.extremes.clockgroup import ClockGroup
from rasterc.extremes.dategroup import DateGroup
from rasterc.extremes.group import HIGHEST
from rasterc.extremes.meter import LineForm, Meter, Place
from rasterc.extremes.optimum import Optimum, optimum
from rasterc.extremes.tapegroup import TapeGroup
from rasterc.extremes.widths import Option, texts_of
from rasterc.layout import Composer
from rasterc.source.message import Align, Picture
from rasterc.values import Plan

NEVER = -(10**9)  # weight of a text of another width

Profile = NDArray[np.int64]
"""Drops of each stroke."""


class Code:
    """What stays the same whatever the widths."""

    def __init__(
        self, plan: Plan, atoms: Sequence[Atom], forms: Sequence[LineForm], composer: Composer
    ) -> None:
        self.plan = plan
        self.lines = [[a for a in atoms if a.line == line] for line in range(len(forms))]
        self.forms = forms
        self.composer = composer
        self._profiles: dict[tuple[int, str], Profile] = {}
        self._totals: dict[tuple[int, str], list[int]] = {}

    def profile(self, line: int, text: str) -> Profile:
        """Drops of each stroke of a text in the style of a line, up to the next character."""
        key = line, text
        if key not in self._profiles:
            setter = self.forms[line].setter
            columns = [
                c for char in text if char in setter.font.glyphs for c in setter.columns(char)
            ]
            self._profiles[key] = np.array([c.bit_count() for c in columns], dtype=np.int64)
        return self._profiles[key]

    def totals(self, line: int, text: str) -> list[int]:
        """Drops of a text up to each of its strokes, and of all."""
        key = line, text
        if key not in self._totals:
            self._totals[key] = [0, *accumulate(self.profile(line, text).tolist())]
        return self._totals[key]

    def picture(self, picture: Picture) -> Profile:
        """Drops of each stroke of a picture."""
        columns, rows = self.composer.picture(picture, self.plan.message.folder)
        drops = np.array([c.bit_count() for c in columns], dtype=np.int64)
        return rows - drops if picture.inverse else drops

    def most(self, window: int) -> int:
        """No window has more drops than full strokes have."""
        fullest = 0
        for number, block in enumerate(self.plan.blocks):
            if isinstance(block.content, Picture):
                rows = int(self.picture(block.content).max(initial=0))
            else:
                rows = sum(self._fullest(f) for f in self.forms if f.block == number)
            fullest = max(fullest, rows)
        return window * fullest

    @staticmethod
    def _fullest(form: LineForm) -> int:
        """Most drops that a stroke of a line can have."""
        if form.inverse:
            return form.setter.rows
        glyphs = form.setter.font.glyphs
        return max((c.bit_count() for g in glyphs for c in form.setter.columns(g)), default=0)


class Setting:
    """A message whose fields have known widths, so that every character has its stroke."""

    def __init__(self, code: Code, options: Sequence[Option], window: int) -> None:
        self.code = code
        self.window = window
        self.groups = [option.group for option in options]
        self.places = {a: widths for option in options for a, widths in option.places.items()}
        self.starts: dict[Atom, int] = {}
        self.strokes = self._arrange()
        self.still = self._still()
        self.steady: dict[Atom, int] = {}  # where fields end that always have one width

    @property
    def windows(self) -> int:
        """How many windows there are."""
        return max(1, self.strokes - self.window + 1)

    def width(self, atom: Atom) -> int:
        """Strokes of an atom with what follows each character."""
        if isinstance(atom, Literal):
            return sum(map(self.code.forms[atom.line].setter.advance, atom.text))
        return sum(self.places[atom])

    def _arrange(self) -> int:
        """Where each atom begins, as `layout.arrange` has it; the strokes of the whole code."""
        at = 0
        for number, block in enumerate(self.code.plan.blocks):
            at += block.block.gap
            if isinstance(block.content, Picture):
                at += len(self.code.picture(block.content))
                continue
            mine = [i for i, form in enumerate(self.code.forms) if form.block == number]
            lengths = [self._length(line) for line in mine]
            widest = max(lengths, default=0)
            for line, length, ready in zip(mine, lengths, block.content, strict=True):
                spare = widest - length
                indent = {Align.LEFT: 0, Align.CENTER: spare // 2, Align.RIGHT: spare}
                stroke = at + indent[ready.line.align] + self.code.forms[line].setter.margin
                for atom in self.code.lines[line]:
                    self.starts[atom] = stroke
                    stroke += self.width(atom)
            at += widest
        return at

    def _length(self, line: int) -> int:
        setter = self.code.forms[line].setter
        atoms = self.code.lines[line]
        if not any(a.text if isinstance(a, Literal) else self.places[a] for a in atoms):
            return 0
        strokes = sum(map(self.width, atoms)) - setter.trailing
        return max(0, strokes) + 2 * setter.margin

    def _still(self) -> Profile:
        """Drops in each window of what does not vary."""
        drops = np.zeros(self.strokes, dtype=np.int64)
        at = 0
        for number, block in enumerate(self.code.plan.blocks):
            at += block.block.gap
            if isinstance(block.content, Picture):
                profile = self.code.picture(block.content)
                drops[at : at + len(profile)] += profile
                at += len(profile)
                continue
            mine = [i for i, form in enumerate(self.code.forms) if form.block == number]
            for line in mine:
                self._add_line(drops, line)
            at += max(map(self._length, mine), default=0)
        return self._windows(drops)

    def _add_line(self, drops: Profile, line: int) -> None:
        form = self.code.forms[line]
        atoms = self.code.lines[line]
        if form.inverse and atoms and self._length(line):
            first = self.starts[atoms[0]] - form.setter.margin
            drops[first : first + self._length(line)] += form.setter.rows
        for atom in atoms:
            if isinstance(atom, Literal):
                profile = self.code.profile(line, atom.text)
                end = min(self.strokes, self.starts[atom] + len(profile))
                part = profile[: end - self.starts[atom]]
                drops[self.starts[atom] : end] += -part if form.inverse else part

    def _windows(self, drops: Profile) -> Profile:
        """The sum of each window."""
        sums = np.concatenate([[0], np.cumsum(drops)])
        first = np.arange(self.windows)
        windows: Profile = sums[np.minimum(first + self.window, len(drops))] - sums[first]
        return windows

    def hopes(self) -> Profile:
        """No more drops than these in each window, if every field does its best on its own."""
        hopes = self.still.copy()
        for group in self.groups:
            for atom, choices in texts_of(group):
                places = self.place(atom)
                self.steady[atom] = self.starts[atom] + self.width(atom)
                for place, texts in zip(places, choices, strict=True):
                    self._hope(hopes, atom, place, texts)
        return hopes

    def _hope(self, hopes: Profile, atom: Varying, place: Place, texts: Sequence[str]) -> None:
        """Add the most drops that any of the texts adds to each window."""
        totals = [self.code.totals(atom.line, text) for text in texts]
        table = np.array([some for some in totals if len(some) == place.strokes + 1])
        if len(table) < len(totals):
            self.steady.pop(atom, None)
        if not len(table):
            hopes += NEVER
            return
        begin = max(0, place.stroke - self.window + 1)
        end = min(self.windows, place.stroke + place.strokes)
        first = np.arange(begin, end) - place.stroke
        low = np.clip(first, 0, place.strokes)
        high = np.clip(first + self.window, 0, place.strokes)
        drops = table[:, high] - table[:, low]
        inverse = self.code.forms[atom.line].inverse
        hopes[begin:end] += -drops.min(axis=0) if inverse else drops.max(axis=0)

    def place(self, atom: Varying) -> list[Place]:
        """The places of an atom's characters; of a clock's text as a whole, one."""
        places: list[Place] = []
        stroke = self.starts[atom]
        for width in self.places[atom]:
            places.append(Place(atom.line, stroke, width))
            stroke += width
        return places

    def search(self, first: int) -> Optimum | None:
        """The most drops in the window that begins at a stroke."""
        meter = _WindowMeter(self, first)
        found = optimum(self.groups, meter, np.zeros((1, 1), dtype=np.int64), HIGHEST)
        for group in self.groups:
            if isinstance(group, ClockGroup | DateGroup | TapeGroup):
                group.forget(meter)
        return found


class _WindowMeter(Meter):
    """Drops in one window of a setting."""

    by_place = True

    def __init__(self, setting: Setting, first: int) -> None:
        lines = len(setting.code.forms)
        name = f"drops in window {first} of setting {id(setting)}"
        super().__init__(name, [len] * lines, [0] * lines, [False] * lines)
        self.base = int(setting.still[first])
        self.setting = setting
        self.first = first

    def place(self, atom: Varying, index: int | None = None, /) -> Place:
        """See `Meter`: the stroke at which a character of an atom begins."""
        places, at = self.setting.place(atom), index or 0
        return places[at] if at < len(places) else Place(atom.line, 0, -1)

    def passes_by(self, atom: Varying, /) -> bool:
        """See `Meter`: it always has the same width, and stands outside."""
        end = self.setting.steady.get(atom)
        if end is None:
            return False
        return end <= self.first or self.setting.starts[atom] >= self.first + self.setting.window

    def weigh(self, place: Place, text: str) -> int:
        """Drops of a text in the window; texts of another width never stand there."""
        totals = self.setting.code.totals(place.line, text)
        if len(totals) != place.strokes + 1:
            return NEVER
        first = self.first - place.stroke
        low = min(max(0, first), place.strokes)
        high = min(max(0, first + self.setting.window), place.strokes)
        drops = totals[high] - totals[low]
        return -drops if self.setting.code.forms[place.line].inverse else drops
