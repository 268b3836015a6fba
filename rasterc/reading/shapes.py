"""What a reader holds against one another: characters as they are printed, and how they overlap.

A rival is tried in every alignment that moves it by up to two columns more than the widths differ
and by one row up or down, as the font audit does: a reader goes by the neighbours' baseline and
pitch, so the printed character stands at its own place.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar

from rasterc.fonts.model import Font
from rasterc.layout.lines import LineSetter
from rasterc.source.message import Line

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Bits = NDArray[np.bool_]
    Counts = NDArray[np.int_]
    _Value = TypeVar("_Value", bound=np.generic)

SHIFT_ROWS = 1
SHIFT_COLUMNS = 2

Shapes = Mapping[str, tuple[int, ...]]
"""Characters as columns without blank ones at their sides; bit 0 is the lowest row."""


def shapes_of(font: Font, chars: Iterable[str], line: Line | None = None) -> Shapes:
    """Characters the font carries, as they print in a line: bold, wide, turned, inverse."""
    carried = [c for c in sorted(set(chars)) if c in font.glyphs]
    if line is None:
        return {c: _trimmed(font.glyphs[c].columns) for c in carried}
    setter = LineSetter(font, line)
    full = (1 << setter.rows) - 1 if line.inverse else 0
    return {c: _trimmed([column ^ full for column in setter.columns(c)]) for c in carried}


def _trimmed(columns: Sequence[int]) -> tuple[int, ...]:
    inked = [x for x, column in enumerate(columns) if column]
    return tuple(columns[inked[0] : inked[-1] + 1]) if inked else ()


@dataclass(frozen=True, slots=True, eq=False)
class Overlaps:
    """One printed character against its rivals in every alignment.

    Attributes:
        rivals: rival characters.
        x, y: the printed drops, n of them.
        rival, right, up: for each of m alignments the index of the rival and how far it is moved.
        both: for each alignment the drops that both have.
        sizes: drops of each rival.
    """

    rivals: tuple[str, ...]
    x: Counts
    y: Counts
    rival: Counts
    right: Counts
    up: Counts
    both: Counts
    sizes: Counts


class Templates:
    """The characters of an alphabet as pictures of drops, ready to be laid over one another."""

    __slots__ = ("_flat", "_margin", "_pictures", "_rows", "chars", "shapes")

    def __init__(self, shapes: Shapes) -> None:
        import numpy as np

        self.shapes = shapes
        self.chars = tuple(shapes)
        widest = max((len(columns) for columns in shapes.values()), default=0)
        self._rows = max((c.bit_length() for s in shapes.values() for c in s), default=0)
        # Wide enough for any rival at any shift, and one drop more for the neighbourhoods.
        self._margin = widest + SHIFT_COLUMNS + 1
        size = len(shapes), widest + 2 * self._margin, self._rows + 2 * (SHIFT_ROWS + 1)
        self._pictures = np.zeros(size, dtype=bool)
        for index, columns in enumerate(shapes.values()):
            for x, column in enumerate(columns):
                for y in range(column.bit_length()):
                    if column >> y & 1:
                        self._pictures[index, self._margin + x, SHIFT_ROWS + 1 + y] = True
        self._flat = self._pictures.reshape(len(shapes), size[1] * size[2]).astype(np.float32)

    def overlaps(self, char: str) -> Overlaps:
        """The alignments of every other character over ``char``."""
        import numpy as np

        own = self.chars.index(char)
        rivals = np.array([i for i in range(len(self.chars)) if i != own], dtype=int)
        x, y = np.nonzero(self._pictures[own])
        width = len(self.shapes[char])
        spare = np.array([width - len(self.shapes[self.chars[i]]) for i in rivals], dtype=int)
        found: list[Counts] = []
        reach = int(np.abs(spare).max(initial=0)) + SHIFT_COLUMNS
        for right in range(-reach, reach + 1):
            fits = (right >= np.minimum(0, spare) - SHIFT_COLUMNS) & (
                right <= np.maximum(0, spare) + SHIFT_COLUMNS
            )
            chosen = np.flatnonzero(fits)
            for up in range(-SHIFT_ROWS, SHIFT_ROWS + 1):
                both = self._flat[rivals[chosen]] @ self._moved(own, -right, -up)
                shift = np.full(len(chosen), right), np.full(len(chosen), up)
                found.append(np.stack([chosen, *shift, np.rint(both).astype(int)]))
        rival, right_, up_, both_ = np.concatenate(found, axis=1)
        sizes = self._flat[rivals].sum(axis=1).astype(int)
        names = tuple(self.chars[i] for i in rivals)
        return Overlaps(names, x, y, rival, right_, up_, both_, sizes)

    def drops_at(self, o: Overlaps, which: Counts, right: int = 0, up: int = 0) -> Bits:
        """For alignments ``which`` (m of them), whether the rival has each of the n printed drops.

        With ``right`` and ``up`` the place beside each drop is asked for. Shape (m, n).
        """
        drops: Bits = self.at(self._pictures, o, which, right, up)
        return drops

    def at(
        self,
        pictures: NDArray[_Value],
        o: Overlaps,
        which: Counts,
        right: int = 0,
        up: int = 0,
    ) -> NDArray[_Value]:
        """The same of other pictures of the characters, blurred ones say. Shape (m, n)."""
        import numpy as np

        places = np.array([self.chars.index(c) for c in o.rivals], dtype=int)
        index = places[o.rival[which]]
        x = o.x[None, :] - o.right[which][:, None] + right
        y = o.y[None, :] - o.up[which][:, None] + up
        found: NDArray[_Value] = pictures[index[:, None], x, y]
        return found

    def blurred(self, blur: float) -> NDArray[np.float64]:
        """The characters blurred twice by a Gaussian, each divided by its norm when blurred once.

        Over a print, blurred points at the drops, that gives the share each drop has in the
        normalised overlap. ``blur`` is a standard deviation in pitches.
        """
        import numpy as np

        def twice(size: int) -> NDArray[np.float64]:
            apart = np.subtract.outer(np.arange(size), np.arange(size))
            weights: NDArray[np.float64] = np.exp(-(apart**2) / (4 * blur * blur))
            return weights

        _, across, high = self._pictures.shape
        found = twice(across) @ self._pictures.astype(float) @ twice(high)
        norms = np.sqrt((found * self._pictures).sum(axis=(1, 2), keepdims=True))
        even: NDArray[np.float64] = found / np.maximum(norms, 1e-12)
        return even

    def own_at(self, char: str, o: Overlaps, right: int, up: int) -> Bits:
        """Whether the character itself has the place beside each of its drops. Shape (n,)."""
        drops: Bits = self._pictures[self.chars.index(char), o.x + right, o.y + up]
        return drops

    def _moved(self, index: int, right: int, up: int) -> NDArray[np.float32]:
        """A picture moved, flat; what leaves the picture is blank there."""
        import numpy as np

        picture = np.roll(self._pictures[index], (right, up), axis=(0, 1))
        flat: NDArray[np.float32] = picture.ravel().astype(np.float32)
        return flat
