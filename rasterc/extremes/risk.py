"""The risk of a misread character, as a weight that adds over a code."""

from __future__ import annotations

from collections.abc import Callable

from rasterc.extremes.meter import Risk
from rasterc.fonts.model import Font
from rasterc.reading.alphabets import alphabets
from rasterc.reading.lost import misread_weight
from rasterc.reading.model import LOSS, check_chances
from rasterc.values.plan import Plan


def template_risk(plan: Plan, loss: float = LOSS) -> Risk:
    """The weight of a character to a reader of templates when a share of drops is lost.

    The reader does not know what stands where: each character is compared with all that any field
    of the message can print, digits with letters too. That is far more than for the reader in
    context that `reading` tells of, who expects digits in a year. Ties are misread. Literal text
    weighs too where it uses those characters, and the same for every value.

    Raises:
        InputError: ``loss`` is not from 0 to below 1.
    """
    check_chances(loss=loss)
    alphabet = frozenset[str]().union(*alphabets(plan).values())
    weights: dict[str, Callable[[str], float]] = {}

    def risk(font: Font, char: str) -> float:
        if font.name not in weights:
            weights[font.name] = misread_weight(font, alphabet & font.glyphs.keys(), loss)
        return weights[font.name](char)

    return risk
