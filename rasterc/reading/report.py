"""How likely each character, line and the whole of a print is misread, and as what.

A character of a field is compared with what the same part of the field can print: the digits of a
year with digits, the name of a month with letters of months; in an input that may be anything,
with ASCII (letters of other scripts may look the same and mean the same). A character of literal
text is compared with all capitals, and with all digits when the text holds one; but the reader
knows the text as a whole, so literals are shown and do not count towards the chance of a line.

A general reader (`general`) says what is taken for what and how often; exact brackets for readers
that count drops (`lost`) or lay ideal pictures over a print (`moved`) stand beside it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from string import ascii_uppercase, digits

from rasterc.diagnostics import Span
from rasterc.domain.fieldtexts import FieldTexts
from rasterc.domain.texts import alphabets_of
from rasterc.fonts.model import Font
from rasterc.layout.lines import StyleKey, style_key
from rasterc.reading.general import GeneralReaders
from rasterc.reading.lost import LostDropReaders
from rasterc.reading.model import LOSS, SPREAD, Bracket, any_of, check_chances
from rasterc.reading.moved import MovedDropReader
from rasterc.reading.shapes import shapes_of
from rasterc.source.message import Line
from rasterc.values.model import ResolvedLine, ResolvedMessage, Run
from rasterc.values.plan import Plan

_RIVALS = 3  # characters named for each one printed


@dataclass(frozen=True, slots=True)
class Rival:
    """A character that a printed one can be taken for when drops are lost.

    Attributes:
        char: the character.
        general: the chance that a general reader takes it for this one.
        lost: the chance that a reader who counts drops does.
    """

    char: str
    general: float
    lost: Bracket


@dataclass(frozen=True, slots=True)
class CharPlace:
    """A printed character.

    Attributes:
        char: the character.
        field: the field it stands in, "" for literal text.
        line, place: which line of the message, and which character of it, from 0.
        span: where the field or literal is written.
        font: name of the font.
        general: the chance that a general reader misreads it when drops are lost.
        lost: the chance that a reader who counts drops misreads it then.
        moved: the chance when drops are also moved, by a reader who goes by overlap.
        rivals: what it is most likely taken for; none for literal text.
    """

    char: str
    field: str
    line: int
    place: int
    span: Span
    font: str
    general: Bracket
    lost: Bracket
    moved: Bracket
    rivals: tuple[Rival, ...]


@dataclass(frozen=True, slots=True)
class LineReading:
    """A line: the chance that some character of its fields is misread."""

    text: str
    places: tuple[CharPlace, ...]
    general: Bracket
    lost: Bracket
    moved: Bracket


@dataclass(frozen=True, slots=True)
class PairAtRisk:
    """A character printed by a field and one it can be taken for when drops are lost.

    Attributes:
        printed, read_as: the characters.
        field: the field the printed one stands in.
        span: where it is written.
        font: the font's name.
        general, lost: the chance at one place, by a general reader and by one who counts drops.
        places: how many places of the field print the character so.
        share: the pair's part, from 0 to 1, of all pairs' chances by the general reader.
    """

    printed: str
    read_as: str
    field: str
    span: Span
    font: str
    general: float
    lost: Bracket
    places: int
    share: float


@dataclass(frozen=True, slots=True)
class ReadingReport:
    """A print as readers of templates take it.

    Attributes:
        lines: the lines, block by block, top to bottom.
        general, lost, moved: the chance that some character of some field is misread.
        pairs: pairs at risk, those with the greatest share first.
        loss: the chance that a drop is lost.
        spread: the standard deviation of a drop's place, in pitches.
    """

    lines: tuple[LineReading, ...]
    general: Bracket
    lost: Bracket
    moved: Bracket
    pairs: tuple[PairAtRisk, ...]
    loss: float
    spread: float

    def __repr__(self) -> str:
        """The chances that something is misread."""
        texts = " / ".join(line.text for line in self.lines)
        general, lost = (
            f"{chance.low:.2%} to {chance.high:.2%}" for chance in (self.general, self.lost)
        )
        return f"<ReadingReport {texts}: misread {general} by a general reader, {lost} counted>"


def risk_report(
    resolved: ResolvedMessage,
    fonts: Mapping[str, Font],
    plan: Plan,
    loss: float = LOSS,
    spread: float = SPREAD,
) -> ReadingReport:
    """How likely a print is misread.

    Characters their font lacks, and pictures, are left out.

    Args:
        resolved: the message at an instant.
        fonts: the fonts of its lines, by the names the lines give them.
        plan: the plan it was resolved by.
        loss: the chance that a drop is lost.
        spread: the standard deviation of a drop's place along either axis, in pitches.

    Raises:
        InputError: ``loss`` or ``spread`` cannot be.
    """
    check_chances(loss, spread)
    readers = _Readers(fonts, FieldTexts(plan), loss, spread)
    contents = (block.content for block in resolved.blocks)
    printed = [line for content in contents if isinstance(content, tuple) for line in content]
    lines = tuple(readers.read(line, number) for number, line in enumerate(printed))
    return ReadingReport(
        lines,
        any_of(line.general for line in lines),
        any_of(line.lost for line in lines),
        any_of(line.moved for line in lines),
        _pairs(place for line in lines for place in line.places),
        loss,
        spread,
    )


class _Readers:
    """The readers a message needs, one for each alphabet in each font and style."""

    def __init__(
        self, fonts: Mapping[str, Font], texts: FieldTexts, loss: float, spread: float
    ) -> None:
        self.fonts = fonts
        self.texts = texts
        self.general, self.lost, self.spread = GeneralReaders(loss), LostDropReaders(loss), spread
        self._moved: dict[tuple[StyleKey, frozenset[str]], MovedDropReader] = {}

    def read(self, line: ResolvedLine, number: int) -> LineReading:
        """A line, character by character."""
        places = tuple(self._places(line, number))
        in_fields = [place for place in places if place.field]
        general = any_of(place.general for place in in_fields)
        lost, moved = any_of(p.lost for p in in_fields), any_of(p.moved for p in in_fields)
        return LineReading(line.text, places, general, lost, moved)

    def _places(self, line: ResolvedLine, number: int) -> Iterator[CharPlace]:
        at = 0
        for run in line.runs:
            for char, alphabet in zip(run.text, self._alphabets(run), strict=True):
                if char in self.fonts[line.line.font].glyphs:
                    yield self._place(line.line, run, char, alphabet, (number, at))
                at += 1

    def _place(
        self, line: Line, run: Run, char: str, alphabet: frozenset[str], at: tuple[int, int]
    ) -> CharPlace:
        font, alphabet = self.fonts[line.font], alphabet | {char}
        general, lost = self.general.of(font, line, alphabet), self.lost.of(font, line, alphabet)
        named = general.likeliest(char, _RIVALS) if run.name else ()
        return CharPlace(
            char, run.name, *at, run.span, font.name,
            general.misread(char),
            lost.misread(char).bracket,
            self._moved_reader(line, alphabet).misread(char),
            tuple(
                Rival(rival, general.taken_for(char, rival), lost.misread(char, rival).bracket)
                for rival in named
            ),
        )  # fmt: skip

    def _alphabets(self, run: Run) -> tuple[frozenset[str], ...]:
        """What each character of a run is compared with."""
        if run.name:
            return alphabets_of(self.texts.at(run.span), run.text)
        known = {*run.text, *ascii_uppercase}
        if known.intersection(digits):
            known.update(digits)
        return (frozenset(known),) * len(run.text)

    def _moved_reader(self, line: Line, alphabet: frozenset[str]) -> MovedDropReader:
        font = self.fonts[line.font]
        key = style_key(font, line), alphabet
        if key not in self._moved:
            shapes = shapes_of(font, alphabet, line)
            self._moved[key] = MovedDropReader(shapes, self.lost.loss, self.spread)
        return self._moved[key]


def _pairs(places: Iterable[CharPlace]) -> tuple[PairAtRisk, ...]:
    """The pairs of all places, equal ones of a field taken together, greatest share first."""
    found: dict[tuple[Span, str, str, str], tuple[CharPlace, Rival, int]] = {}
    for place in places:
        for rival in place.rivals:
            key = place.span, place.font, place.char, rival.char
            count = found[key][2] if key in found else 0
            found[key] = place, rival, count + 1
    total = sum(rival.general * count for _, rival, count in found.values())
    pairs = [
        PairAtRisk(
            p.char, rival.char, p.field, p.span, p.font, rival.general, rival.lost, count,
            rival.general * count / total if total else 0.0,
        )
        for p, rival, count in found.values()
    ]  # fmt: skip
    return tuple(sorted(pairs, key=lambda pair: -pair.share))
