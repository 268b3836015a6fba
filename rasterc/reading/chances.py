"""What a whole print comes to, without a report: the same chances as `report`'s."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from rasterc.domain.fieldtexts import FieldTexts
from rasterc.domain.texts import alphabets_of
from rasterc.fonts.model import Font
from rasterc.reading.general import GeneralReaders
from rasterc.reading.lost import LostDropReaders
from rasterc.reading.model import Bracket, any_of
from rasterc.source.message import Line
from rasterc.values.model import ResolvedMessage

_NAMED = 3  # pairs


@dataclass(frozen=True, slots=True)
class Confusion:
    """A character of a print, what it is taken for, and the chance summed over its places."""

    printed: str
    read_as: str
    chance: float


@dataclass(frozen=True, slots=True)
class GeneralRisk:
    """How likely a general reader misreads some character of some field, and the pairs at risk,
    the likeliest first."""

    chance: Bracket
    pairs: tuple[Confusion, ...]


def lost_chance(
    resolved: ResolvedMessage, fonts: Mapping[str, Font], texts: FieldTexts, lost: LostDropReaders
) -> Bracket:
    """The chance that some character of some field is misread by a reader who counts drops.

    ``texts`` and ``lost`` remember what was worked out for other prints of the message.
    """
    return any_of(
        lost.of(font, line, alphabet).misread(char).bracket
        for font, line, char, alphabet in _characters(resolved, fonts, texts)
    )


def general_risk(
    resolved: ResolvedMessage, fonts: Mapping[str, Font], texts: FieldTexts, general: GeneralReaders
) -> GeneralRisk:
    """The same by a general reader, with the pairs at risk."""
    chances: list[Bracket] = []
    pairs: defaultdict[tuple[str, str], float] = defaultdict(float)
    for font, line, char, alphabet in _characters(resolved, fonts, texts):
        reader = general.of(font, line, alphabet)
        chances.append(reader.misread(char))
        for rival in reader.likeliest(char, _NAMED):
            pairs[char, rival] += reader.taken_for(char, rival)
    worst = sorted(pairs, key=lambda pair: -pairs[pair])[:_NAMED]
    return GeneralRisk(any_of(chances), tuple(Confusion(*pair, pairs[pair]) for pair in worst))


def _characters(
    resolved: ResolvedMessage, fonts: Mapping[str, Font], texts: FieldTexts
) -> Iterator[tuple[Font, Line, str, frozenset[str]]]:
    """The characters of fields that their font carries, and what each is compared with."""
    contents = (block.content for block in resolved.blocks)
    for line in (line for content in contents if isinstance(content, tuple) for line in content):
        font = fonts[line.line.font]
        for run in (run for run in line.runs if run.name):
            alphabets = alphabets_of(texts.at(run.span), run.text)
            for char, alphabet in zip(run.text, alphabets, strict=True):
                if char in font.glyphs:
                    yield font, line.line, char, alphabet | {char}
