"""Misreadings by lost drops, exactly.

The reader: of an alphabet it picks the character whose drops differ in the fewest places from what
is printed, each rival in its best alignment (`shapes`). Nothing is printed that does not belong to
the character, so as many places differ from the character itself as drops are lost, and no other
alignment of it does better. A rival in an alignment has *b* drops more and *a* drops fewer than the
character; when *l* of those *a* are lost, it differs in *b + a - l* places besides the drops lost
elsewhere, which count for both. It is nearer when 2 l > a + b, and as near when 2 l = a + b.

So a misreading means that at least one rival in one alignment has lost enough of its *a* drops; a
union of cuts (`union`). With a tie the reader cannot tell: the lower end of a bracket says it is
always right then, the upper end that it never is.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rasterc.diagnostics import InputError
from rasterc.fonts.model import Font
from rasterc.layout.lines import StyleKey, style_key
from rasterc.reading.model import CERTAIN, LOSS, Bracket, check_chances
from rasterc.reading.shapes import Overlaps, Shapes, Templates, shapes_of
from rasterc.reading.union import NEGLIGIBLE, Cuts, any_cut, tails, without_implied
from rasterc.source.message import Line

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_LEFT_OUT = 0.002  # of the likeliest cut: what the cuts left out may add together


@dataclass(frozen=True, slots=True)
class Misread:
    """The chance that a character is misread.

    Attributes:
        clear: another character is nearer.
        tied: another character is nearer or as near.
    """

    clear: Bracket
    tied: Bracket

    @property
    def bracket(self) -> Bracket:
        """From a reader who is right in every tie to one who is wrong in every tie."""
        return Bracket(self.clear.low, self.tied.high)


class LostDropReader:
    """Reads characters of one alphabet in one style; each is worked out when first asked for.

    ``loss`` is the chance that a drop is lost.

    Raises:
        InputError: ``loss`` is no chance below 1.
    """

    __slots__ = ("_known", "_overlaps", "loss", "templates")

    def __init__(self, shapes: Shapes, loss: float = LOSS) -> None:
        check_chances(loss=loss)
        self.templates = Templates(shapes)
        self.loss = loss
        self._known: dict[tuple[str, str], Misread] = {}
        self._overlaps: dict[str, Overlaps] = {}

    def misread(self, char: str, rival: str = "") -> Misread:
        """The chance that ``char`` is taken for ``rival``, or for any other when that is "".

        Raises:
            KeyError: the alphabet lacks one of them.
        """
        if (char, rival) not in self._known:
            clear, tied = (self._chance(char, rival, ties) for ties in (False, True))
            self._known[char, rival] = Misread(clear, tied)
        return self._known[char, rival]

    def likeliest(self, char: str, most: int = 3) -> tuple[str, ...]:
        """The rivals it is most often taken for, by their likeliest alignment, ties counted.

        Those of a negligible chance are left out."""
        import numpy as np

        o = self._overlap(char)
        _, chance = self._cuts(o, ties=True)
        best = np.zeros(len(o.rivals))
        np.maximum.at(best, o.rival, chance)
        order = np.argsort(-best, kind="stable")[:most]
        return tuple(o.rivals[i] for i in order if best[i] > NEGLIGIBLE)

    def _overlap(self, char: str) -> Overlaps:
        if char not in self.templates.shapes:
            raise KeyError(char)
        if char not in self._overlaps:
            self._overlaps[char] = self.templates.overlaps(char)
        return self._overlaps[char]

    def _cuts(self, o: Overlaps, ties: bool) -> tuple[NDArray[np.int_], NDArray[np.float64]]:
        """How many drops each alignment must lose, and the chance of that."""
        import numpy as np

        fewer, more = len(o.x) - o.both, o.sizes[o.rival] - o.both
        needed = (fewer + more + 1) // 2 if ties else (fewer + more) // 2 + 1
        table = tails(self.loss, len(o.x))
        return needed, table[fewer, np.minimum(needed, len(o.x) + 1)]

    def _chance(self, char: str, rival: str, ties: bool) -> Bracket:
        import numpy as np

        o = self._overlap(char)
        needed, chance = self._cuts(o, ties)
        if rival:
            if rival not in o.rivals:
                raise KeyError(rival)
            chance = np.where(o.rival == o.rivals.index(rival), chance, 0)
        order = np.argsort(-chance, kind="stable")[: int(np.count_nonzero(chance))]
        if not order.size:
            return CERTAIN
        tail = chance[order][::-1].cumsum()[::-1]  # of this one and all less likely ones
        enough = max(_LEFT_OUT * float(chance[order[0]]), NEGLIGIBLE / 2)
        kept = order[: int(np.count_nonzero(tail > enough))]
        left_out = float(tail[len(kept)]) if len(kept) < len(order) else 0.0
        cuts = Cuts(~self.templates.drops_at(o, kept).T, needed[kept])
        chosen = without_implied(cuts)
        found = any_cut(Cuts(cuts.members[:, chosen], cuts.needed[chosen]), self.loss)
        return Bracket(found.low, min(1.0, found.high + left_out))


def misread_lost(font: Font, char: str, alphabet: Iterable[str], loss: float = LOSS) -> Bracket:
    """The chance that ``char`` is taken for another character of ``alphabet``.

    Args:
        font: the font; characters it lacks cannot be printed and are no rivals.
        char: the character printed.
        alphabet: what may stand there; ``char`` need not be among it.
        loss: the chance that a drop is lost.

    Returns:
        From the chance that another character is nearer to what is left, to the chance that one is
        nearer or as near.

    Raises:
        InputError: the font lacks ``char``, or ``loss`` is no chance below 1.
    """
    if char not in font.glyphs:
        message = f'the font {font.name} has no character "{char}"'
        raise InputError.one("missing-glyph", message, help="choose a font that carries it")
    shapes = shapes_of(font, {char, *alphabet})
    return LostDropReader(shapes, loss).misread(char).bracket


class LostDropReaders:
    """The readers a message needs, one for each alphabet in each font and style."""

    __slots__ = ("_known", "loss")

    def __init__(self, loss: float = LOSS) -> None:
        check_chances(loss=loss)
        self.loss = loss
        self._known: dict[tuple[StyleKey, frozenset[str]], LostDropReader] = {}

    def of(self, font: Font, line: Line, alphabet: frozenset[str]) -> LostDropReader:
        """The reader of an alphabet as a line prints it; the font is kept alive elsewhere."""
        key = style_key(font, line), alphabet
        if key not in self._known:
            self._known[key] = LostDropReader(shapes_of(font, alphabet, line), self.loss)
        return self._known[key]
