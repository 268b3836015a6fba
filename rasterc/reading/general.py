"""Misreadings by a general reader: someone or something that was not made for dot characters.

The reader sees the print and the ideal picture of every character blurred by a Gaussian and takes
the one that fits best: with X the blurred print and T a blurred picture, the greatest <X, T> / |T|
(normalised overlap, as in `moved`). The printed character stands at its own place, rivals are tried
in every alignment (`shapes`). Drops are points, stroke and row pitch are taken as equal. How far it
blurs is the model's one parameter.

A Gaussian blurred by itself is one of twice the variance, so a kept drop d adds
K_T(d) = sum over p in T of exp(-|d - p|^2 / (4 blur^2)) / |T| to the fit of T, with
|T|^2 = sum over p, q in T of exp(-|p - q|^2 / (4 blur^2)). By how much the character is ahead of a
rival is a sum of one part for each kept drop; its distribution is worked out by adding one drop
after another on a grid. Each rival counts in its likeliest alignment; a bracket goes from the
likeliest rival alone to the sum over the rivals most alike.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from rasterc.diagnostics import InputError
from rasterc.fonts.model import Font
from rasterc.layout.lines import StyleKey, style_key
from rasterc.reading.model import CERTAIN, LOSS, Bracket, check_chances
from rasterc.reading.shapes import Overlaps, Shapes, Templates, shapes_of
from rasterc.reading.union import NEGLIGIBLE
from rasterc.source.message import Line

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Counts = NDArray[np.int_]

BLUR = 1.0
"""How far the reader blurs, in row pitches, as a standard deviation. Fitted to an outside text
recogniser by `tests/benchmarks/ocr.py`, which tells how well it foretells fonts left out of it."""

_BINS = 2048  # steps in which the lead over a rival is counted
_MOST_ALIKE = 12  # rivals that are counted; the others are far less likely


class GeneralReader:
    """Reads characters of one alphabet in one style; each is worked out when first asked for.

    ``loss`` is the chance that a drop is lost, ``blur`` in row pitches.

    Raises:
        InputError: ``loss`` is no chance below 1.
    """

    __slots__ = ("_blurred", "_known", "loss", "templates")

    def __init__(self, shapes: Shapes, loss: float = LOSS, blur: float = BLUR) -> None:
        check_chances(loss=loss)
        self.templates = Templates(shapes)
        self.loss = loss
        self._blurred = self.templates.blurred(blur)
        self._known: dict[str, dict[str, float]] = {}

    def misread(self, char: str) -> Bracket:
        """The chance that ``char`` is taken for another character.

        Raises:
            KeyError: the alphabet lacks it.
        """
        chances = self._chances(char).values()
        return Bracket(max(chances), min(1.0, sum(chances))) if chances else CERTAIN

    def taken_for(self, char: str, rival: str) -> float:
        """The chance that ``rival`` fits better than ``char``; 0 for those least alike.

        Raises:
            KeyError: the alphabet lacks one of them.
        """
        if rival not in self.templates.shapes:
            raise KeyError(rival)
        return self._chances(char).get(rival, 0.0)

    def likeliest(self, char: str, most: int = 3) -> tuple[str, ...]:
        """The rivals it is most often taken for; those of a negligible chance are left out."""
        chances = self._chances(char)
        order = sorted(chances, key=lambda rival: -chances[rival])[:most]
        return tuple(rival for rival in order if chances[rival] > NEGLIGIBLE)

    def _chances(self, char: str) -> dict[str, float]:
        """The chance that it is taken for each of the rivals most alike, these first."""
        if char not in self.templates.shapes:
            raise KeyError(char)
        if char not in self._known:
            o = self.templates.overlaps(char)
            leads = self._leads(char, o)
            chosen = _likeliest_alignments(leads, o.rival)[:_MOST_ALIKE]
            self._known[char] = {
                o.rivals[o.rival[which]]: behind(leads[which], self.loss)
                for which in chosen.tolist()
            }
        return self._known[char]

    def _leads(self, char: str, o: Overlaps) -> Floats:
        """What each printed drop adds to the lead over each alignment. Shape (m, n)."""
        import numpy as np

        own = self._blurred[self.templates.chars.index(char)][o.x, o.y]
        leads: Floats = own - self.templates.at(self._blurred, o, np.arange(len(o.rival)))
        return leads


def _likeliest_alignments(leads: Floats, rival: Counts) -> Counts:
    """Of each rival the alignment that lost drops put ahead most easily, by the mean of the lead
    against its spread; rivals most alike first."""
    import numpy as np

    if not leads.size:
        return np.zeros(0, dtype=int)
    spread = np.sqrt((leads**2).sum(axis=1))
    ahead = leads.sum(axis=1) / np.maximum(spread, 1e-12)
    order = np.argsort(ahead, kind="stable")
    _, first = np.unique(rival[order], return_index=True)
    chosen: Counts = order[np.sort(first)]
    return chosen


def behind(parts: Floats, loss: float) -> float:
    """The chance that the sum of the parts of kept drops is below 0; that it is 0 counts half.

    >>> import numpy as np
    >>> round(behind(np.array([2.0, -1.0]), 0.1), 6)  # the first lost and not the second, or both
    0.095
    """
    import numpy as np

    step = float(np.abs(parts).sum()) / _BINS or 1.0
    steps = np.rint(parts / step).astype(int)
    zero = -int(steps[steps < 0].sum())
    chances = np.zeros(zero + int(steps[steps > 0].sum()) + 1)
    chances[zero] = 1.0
    for kept in steps.tolist():
        chances = loss * chances + (1 - loss) * np.roll(chances, kept)
    return float(chances[:zero].sum() + chances[zero] / 2)


def misread_general(
    font: Font, char: str, alphabet: Iterable[str], loss: float = LOSS, blur: float = BLUR
) -> Bracket:
    """The chance that a general reader takes ``char`` for another character of ``alphabet``.

    Args:
        font: the font; characters it lacks cannot be printed and are no rivals.
        char: the character printed.
        alphabet: what may stand there; ``char`` need not be among it.
        loss: the chance that a drop is lost.
        blur: how far the reader blurs, in row pitches.

    Raises:
        InputError: the font lacks ``char``, or ``loss`` is no chance below 1.
    """
    if char not in font.glyphs:
        message = f'the font {font.name} has no character "{char}"'
        raise InputError.one("missing-glyph", message, help="choose a font that carries it")
    return GeneralReader(shapes_of(font, {char, *alphabet}), loss, blur).misread(char)


class GeneralReaders:
    """The readers a message needs, one for each alphabet in each font and style."""

    __slots__ = ("_known", "loss")

    def __init__(self, loss: float = LOSS) -> None:
        check_chances(loss=loss)
        self.loss = loss
        self._known: dict[tuple[StyleKey, frozenset[str]], GeneralReader] = {}

    def of(self, font: Font, line: Line, alphabet: frozenset[str]) -> GeneralReader:
        """The reader of an alphabet as a line prints it; the font is kept alive elsewhere."""
        key = style_key(font, line), alphabet
        if key not in self._known:
            self._known[key] = GeneralReader(shapes_of(font, alphabet, line), self.loss)
        return self._known[key]
