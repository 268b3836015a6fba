"""Which characters of a field does a reader take for one another when drops are lost?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.diagnostics import Severity, Span
from rasterc.domain.fieldtexts import FieldTexts
from rasterc.reading.general import GeneralReader
from rasterc.reading.model import LOSS
from rasterc.reading.shapes import shapes_of
from rasterc.source.message import Line, Picture
from rasterc.values import Run

_NAMED = 6  # pairs


_MOST = 64  # characters: of a field that may be anything `unchecked-input` speaks


_MARK = 'input mark matching "[{}]", default "l"\nblock {{ line: "A" mark }}'


@dataclass(frozen=True, slots=True)
class _Pair:
    """A character and what it is taken for, in a field's font."""

    printed: str
    read_as: str
    chance: float


class OneDropDecides(Rule):
    """Pairs that a general reader confuses as often as a single drop is lost."""

    id = "one-drop-decides"
    title = "Characters of a field are read as others as often as a drop is lost"
    severity = Severity.NOTE
    rationale = (
        f"Of a hundred drops {LOSS * 100:g} are taken to be lost. A reader who sees the print "
        "blurred, as a camera does, then takes some characters for others; a pair is named when "
        "that happens at least as often as one given drop is lost. The chances are those of "
        "`rasterc reading`, which also adds them up for a print."
    )
    source = (
        "the general reader of rasterc reading, whose order of characters and pairs is held "
        "against an outside text recogniser; the limit: common practice, no source"
    )
    trips = example(_MARK.format("l!"))
    passes = example(_MARK.format("lk"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a note for every font and pairs that its fields have, at the first of them."""
        texts = FieldTexts(subject.plan)
        found: dict[tuple[str, tuple[_Pair, ...]], list[Span]] = {}
        for line, place in dict.fromkeys(_fields(subject)):
            font = subject.fonts.get(line.font)
            if font is None:
                continue
            parts = dict.fromkeys(part.chars for part in texts.at(place))
            shapes = [shapes_of(font, chars, line) for chars in parts if len(chars) <= _MOST]
            pairs = dict.fromkeys(pair for some in shapes for pair in _pairs(tuple(some.items())))
            if pairs:
                found.setdefault((font.name, tuple(pairs)), []).append(place)
        for (name, all_pairs), places in found.items():
            yield self._report(subject, places, name, all_pairs)

    def _report(
        self, subject: Subject, places: list[Span], font: str, pairs: tuple[_Pair, ...]
    ) -> Finding:
        worst = sorted(pairs, key=lambda pair: -pair.chance)[:_NAMED]
        named = (f"{p.printed} read as {p.read_as} ({p.chance:.1%})" for p in worst)
        fields = ", ".join(dict.fromkeys(place.text for place in places))
        return self.finding(
            subject,
            f"a general reader confuses characters of {fields} in {font} when {LOSS:.0%} of "
            f"the drops are lost: {', '.join(named)}",
            places[0],
            "use a font of more rows or a bolder line, or leave one of the two out where "
            "characters are chosen; `rasterc reading` tells what it comes to in a print",
            measured=worst[0].chance,
            limit=LOSS,
        )


def _fields(subject: Subject) -> Iterator[tuple[Line, Span]]:
    """Every line and the places of the fields it prints, as `rasterc reading` reads them."""
    for block in subject.plan.blocks:
        for plan in () if isinstance(block.content, Picture) else block.content:
            yield from ((plan.line, p.span) for p in plan.pieces if not isinstance(p, Run))


@lru_cache(maxsize=256)  # most fields print digits, in few fonts
def _pairs(shapes: tuple[tuple[str, tuple[int, ...]], ...]) -> tuple[_Pair, ...]:
    reader = GeneralReader(dict(shapes))
    rivals = ((char, rival) for char, _ in shapes for rival in reader.likeliest(char))
    pairs = (_Pair(char, rival, reader.taken_for(char, rival)) for char, rival in rivals)
    return tuple(pair for pair in pairs if pair.chance >= LOSS)
