"""Misreadings by drops that land beside their places, and may be lost as well.

The reader lays the ideal picture of every character of an alphabet over the print and takes the
one that overlaps most, as a share of the root of its own ink (normalised overlap): with I the
printed picture and T a character's, the greatest <I, T> / |T|. The printed character stands at its
own place, rivals are tried in every alignment (`shapes`). Drops are discs of one size; where
printed drops overlap their ink adds up. Stroke and row pitch are taken as equal.

Both overlaps are sums over the printed drops, so by how much the character is ahead of a rival is a
sum of independent parts, one for each drop. Its distribution is worked out exactly for drops that
are moved to the points of a grid, with the weights of a normal distribution: the distributions of
the parts are convolved. A bracket goes from the likeliest rival alone to the sum over the rivals
most alike.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import cache
from typing import TYPE_CHECKING

from rasterc.diagnostics import InputError
from rasterc.fonts.model import Font
from rasterc.reading.model import LOSS, SPREAD, Bracket, check_chances
from rasterc.reading.shapes import Overlaps, Shapes, Templates, shapes_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Counts = NDArray[np.int_]

DOT = 0.9
"""Diameter of a dot in pitches. Assumption: dots all but meet."""

_BINS = 2048  # steps in which the lead over a rival is counted
_REACH, _STEP = 3.5, 0.5  # standard deviations: how far drops are moved, in which steps
_MOST_ALIKE = 12  # alignments of rivals that are counted; the others are far less likely
_NOISE = 1e-12  # of the fast Fourier transform, generously
_BESIDE = [(right, up) for right in (-1, 0, 1) for up in (-1, 0, 1)]


def disc_overlap(distance: float, diameter: float) -> float:
    """The share of a disc that another of the same size covers, centres ``distance`` apart.

    With q = distance / diameter it is 2 / pi * (acos q - q * sqrt(1 - q^2)), the area of a lens
    (plane geometry).

    >>> round(disc_overlap(0.0, 0.9), 6), disc_overlap(0.9, 0.9)
    (1.0, 0.0)
    """
    q = min(1.0, distance / diameter)
    return 2 / math.pi * (math.acos(q) - q * math.sqrt(1 - q * q))


class MovedDropReader:
    """Reads characters of one alphabet in one style; each is worked out when first asked for.

    ``loss`` is the chance that a drop is lost, ``spread`` the standard deviation of its place
    along either axis, in pitches.

    Raises:
        InputError: ``loss`` or ``spread`` cannot be.
    """

    __slots__ = ("_known", "loss", "spread", "templates")

    def __init__(self, shapes: Shapes, loss: float = LOSS, spread: float = SPREAD) -> None:
        check_chances(loss, spread)
        self.templates = Templates(shapes)
        self.loss, self.spread = loss, spread
        self._known: dict[str, Bracket] = {}

    def misread(self, char: str) -> Bracket:
        """The chance that ``char`` is taken for another character.

        Raises:
            KeyError: the alphabet lacks it.
        """
        if char not in self.templates.shapes:
            raise KeyError(char)
        if char not in self._known:
            self._known[char] = self._misread(char)
        return self._known[char]

    def _misread(self, char: str) -> Bracket:
        import numpy as np

        o = self.templates.overlaps(char)
        if not (len(o.x) and len(o.rival)):
            return Bracket(0.0, 0.0)
        alike = o.both / np.sqrt(np.maximum(1, o.sizes[o.rival]))
        chosen = np.argsort(-alike, kind="stable")[:_MOST_ALIKE]
        own, theirs = self._surroundings(char, o, chosen)
        scale = math.sqrt(len(o.x)), np.sqrt(np.maximum(1, o.sizes[o.rival[chosen]]))
        low = high = 0.0
        for places, size in zip(theirs, scale[1].tolist(), strict=True):
            chance = self._overtaken(own, places, scale[0], size)
            low, high = max(low, chance.low), high + chance.high
        return Bracket(low, min(1.0, high))

    def _surroundings(self, char: str, o: Overlaps, which: Counts) -> tuple[Counts, Counts]:
        """The 9 places around each printed drop as bits of a number: the character's own, shape
        (n,), and the rival's in each alignment, shape (m, n)."""
        import numpy as np

        own = np.zeros(len(o.x), dtype=int)
        theirs = np.zeros((len(which), len(o.x)), dtype=int)
        for bit, (right, up) in enumerate(_BESIDE):
            own |= self.templates.own_at(char, o, right, up).astype(int) << bit
            theirs |= self.templates.drops_at(o, which, right, up).astype(int) << bit
        return own, theirs

    def _overtaken(self, own: Counts, theirs: Counts, own_size: float, size: float) -> Bracket:
        """The chance that the rival with these surroundings overlaps more than the character."""
        import numpy as np

        kinds, counts = np.unique(own << 9 | theirs, return_counts=True)
        overlaps, weights = moves(self.spread)
        bits = np.arange(9)
        ours = ((kinds >> 9)[:, None] >> bits & 1) / own_size
        rivals = (kinds[:, None] >> bits & 1) / size
        lead = (ours - rivals) @ overlaps  # of each kind of drop at each point
        ends = [np.minimum(lead.min(axis=1), 0) @ counts, np.maximum(lead.max(axis=1), 0) @ counts]
        step = max(float(ends[1] - ends[0]) / (_BINS - len(own) - 2), 1e-9)
        steps = np.rint(lead / step).astype(int)
        pmf = self._convolved(steps, weights, counts)
        lowest = math.floor(ends[0] / step - len(own) / 2)
        ahead = lowest + (np.arange(_BINS) - lowest) % _BINS  # the steps each bin stands for
        # The rounding errors of n parts add up to 0.29 * sqrt(n) steps, standard deviation.
        allowance = math.sqrt(len(own))
        low, high = (float(pmf[ahead <= end].sum()) for end in (-allowance - 1, allowance))
        return Bracket(max(0.0, low - _NOISE), high + _NOISE)

    def _convolved(self, steps: Counts, weights: Floats, counts: Counts) -> Floats:
        """The distribution of the sum over all drops, by steps modulo the number of bins."""
        import numpy as np

        kinds = len(steps)
        bins = (np.arange(kinds)[:, None] * _BINS + steps % _BINS).ravel()
        chances = np.tile(weights * (1 - self.loss), kinds)
        each = np.bincount(bins, chances, kinds * _BINS).reshape(kinds, _BINS).astype(np.float64)
        each[:, 0] += self.loss
        factors = np.repeat(np.fft.rfft(each, axis=1), counts, axis=0)
        return np.clip(np.fft.irfft(factors.prod(axis=0), _BINS), 0.0, None)


@cache
def moves(spread: float) -> tuple[Floats, Floats]:
    """How much of a moved drop falls on a dot at each of the 9 places around its own, shape
    (9, points), and the chance of each point, shape (points,)."""
    import numpy as np

    along = np.arange(-_REACH, _REACH + _STEP / 2, _STEP)
    normal = np.exp(-(along**2) / 2)
    weights = np.outer(normal, normal).ravel()
    x, y = (grid.ravel() * spread for grid in np.meshgrid(along, along, indexing="ij"))
    overlaps = [
        [disc_overlap(math.hypot(dx - right, dy - up), DOT) for dx, dy in zip(x, y, strict=True)]
        for right, up in _BESIDE
    ]
    return np.array(overlaps), weights / weights.sum()


def misread_moved(
    font: Font,
    char: str,
    alphabet: Iterable[str],
    loss: float = LOSS,
    spread: float = SPREAD,
) -> Bracket:
    """The chance that ``char`` is taken for another character of ``alphabet``.

    Args:
        font: the font; characters it lacks cannot be printed and are no rivals.
        char: the character printed.
        alphabet: what may stand there; ``char`` need not be among it.
        loss: the chance that a drop is lost.
        spread: the standard deviation of a drop's place along either axis, in pitches.

    Raises:
        InputError: the font lacks ``char``, or ``loss`` or ``spread`` cannot be.
    """
    if char not in font.glyphs:
        message = f'the font {font.name} has no character "{char}"'
        raise InputError.one("missing-glyph", message, help="choose a font that carries it")
    return MovedDropReader(shapes_of(font, {char, *alphabet}), loss, spread).misread(char)
