"""Long messages flown in windows, many at once.

A charged drop feels those a few strokes off, and hardly any further: at 60 slots a stroke moves
another's drops by some hundredths of a micrometre. So a message is cut into windows, each with that
much of its surroundings, and strokes further apart are flown on their own. Windows that are alike
are flown once: a line says the same letters again and again.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from math import ceil

import numpy as np

from rasterc.head.arrays import Bools, Floats
from rasterc.head.flight import FOLLOWED_DROPS, Flights, fly
from rasterc.head.model import HeadModel

CONTEXT_SLOTS = 60
WINDOW_SLOTS = 300
TOGETHER = 16  # windows of about one length that fly side by side


@dataclass(frozen=True, slots=True)
class Window:
    """Slots ``first`` to ``end`` are flown, those from ``own`` to ``own_end`` are told."""

    first: int
    own: int
    own_end: int
    end: int


def windows_of(charged: Bools) -> list[Window]:
    """The windows of a message, by whether each slot is charged; shape (slots,).

    >>> windows_of(np.arange(200) % 100 == 3)
    [Window(first=3, own=3, own_end=4, end=4), Window(first=103, own=103, own_end=104, end=104)]
    """
    slots = np.flatnonzero(charged)
    if not slots.size:
        return []
    breaks = np.flatnonzero(np.diff(slots) > CONTEXT_SLOTS) + 1
    return [w for run in np.split(slots, breaks) for w in _cut(int(run[0]), int(run[-1]) + 1)]


def _cut(first: int, end: int) -> list[Window]:
    parts = max(1, ceil((end - first) / WINDOW_SLOTS))
    edges = [first + (end - first) * k // parts for k in range(parts + 1)]
    return [
        Window(max(first, a - CONTEXT_SLOTS), a, b, min(end, b + CONTEXT_SLOTS))
        for a, b in pairwise(edges)
    ]


@dataclass(slots=True)
class WindowFlyer:
    """Flies messages of one head in windows, and remembers what it has flown."""

    head: HeadModel
    throw_m: float
    coarse: int = 1
    follow: bool = False
    _known: dict[tuple[float, bytes], Flights] = field(default_factory=dict)

    def fly(self, charges_c: Floats, wakes: Sequence[float]) -> Flights:
        """Fly messages, shape (patterns, slots), each with its wake; uncharged drops are not told.

        Every figure of an uncharged drop is that of one that was not followed, its landing nan.
        """
        windows = windows_of((charges_c != 0).any(axis=0))
        asked = [
            (float(wakes[p]), w, np.ascontiguousarray(charges_c[p, w.first : w.end]))
            for p in range(len(charges_c))
            for w in windows
        ]
        self._fly_unknown([(wake, part) for wake, _, part in asked])
        out = _nothing(charges_c.shape)
        for k, (wake, window, part) in enumerate(asked):
            self._tell(out, k // len(windows), window, self._known[wake, part.tobytes()])
        uncharged = charges_c == 0
        out.y_m[uncharged] = out.arrival_s[uncharged] = np.nan
        return out

    def _fly_unknown(self, asked: list[tuple[float, Floats]]) -> None:
        new = {(wake, part.tobytes()): part for wake, part in asked}
        unknown = sorted((key for key in new if key not in self._known), key=lambda k: len(k[1]))
        tail = FOLLOWED_DROPS if self.follow else 0
        for start in range(0, len(unknown), TOGETHER):
            keys = unknown[start : start + TOGETHER]
            drops = np.zeros((len(keys), len(new[keys[-1]]) + tail))
            for row, key in zip(drops, keys, strict=True):
                row[: len(new[key])] = new[key]
            flown = fly(
                self.head, drops, wake=np.array([wake for wake, _ in keys]), throw_m=self.throw_m,
                drops_per_step=self.coarse, follow=self.follow,
            )  # fmt: skip
            for k, key in enumerate(keys):
                self._known[key] = Flights(*(getattr(flown, n)[k] for n in Flights.__slots__))

    def _tell(self, out: Flights, pattern: int, window: Window, flown: Flights) -> None:
        """Put the part of a window that is its own where it belongs."""
        to = slice(window.own, window.own_end)
        of = slice(window.own - window.first, window.own_end - window.first)
        out.y_m[pattern, to] = flown.y_m[of]
        out.arrival_s[pattern, to] = flown.arrival_s[of] + window.first * self.head.period_s
        if not self.follow:
            return
        out.separation_m[pattern, to] = flown.separation_m[of]
        near = flown.nearest[of]
        out.nearest[pattern, to] = np.where(near < 0, -1, near + window.first)
        out.plate_m[pattern, to] = flown.plate_m[of]


def _nothing(shape: tuple[int, ...]) -> Flights:
    return Flights(
        y_m=np.full(shape, np.nan),
        arrival_s=np.full(shape, np.nan),
        separation_m=np.full(shape, np.inf),
        nearest=np.full(shape, -1),
        plate_m=np.full(shape, -np.inf),
    )
