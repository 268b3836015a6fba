"""The risk of a misreading, by the model of `reading`, as a weight that adds over a code.

Each character is held against what can stand in its place, as `reading` does: digits of a year
against digits, the name of a month against letters of months. Literal text does not count.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import log1p

from rasterc.domain.atoms import Atom, Letter, Literal, Varying
from rasterc.domain.fieldtexts import FieldTexts
from rasterc.domain.texts import Texts, alphabet_at, alphabets_of
from rasterc.extremes.listgroup import text_of
from rasterc.extremes.meter import LineForm, Meter, Place
from rasterc.fonts.model import Font
from rasterc.reading.chances import GeneralRisk, general_risk, lost_chance
from rasterc.reading.general import GeneralReaders
from rasterc.reading.lost import LostDropReaders
from rasterc.reading.model import Bracket
from rasterc.values.model import ResolvedMessage
from rasterc.values.moment import Moment
from rasterc.values.plan import Plan

RISK_STEPS = 10**9
"""Risks are added as whole numbers of 1 / RISK_STEPS, so that the order of adding is no matter."""

LEAST_CHANCE = 1e-12  # a chance of 1 gets the weight of 1 - this, so that weights stay finite


@dataclass(frozen=True, slots=True)
class _Standing:
    """What stands somewhere: texts as a whole, or what can stand at one of their places."""

    texts: Texts
    alphabet: frozenset[str] | None = None


_Known = dict[tuple[int, str, frozenset[str]], int]


_Shared = tuple[FieldTexts, LostDropReaders, _Known, GeneralReaders]


def _shared(plan: Plan, loss: float) -> _Shared:
    """What fields print in all cases of a plan, and readers of it: the same for each case."""
    if plan.whole is None or plan.whole.cases is None:
        return FieldTexts(plan), LostDropReaders(loss), {}, GeneralReaders(loss)
    kept = plan.whole.cases.kept
    if ("risk", loss) not in kept:
        kept["risk", loss] = _shared(plan.whole, loss)
    shared: _Shared = kept["risk", loss]
    return shared


class RiskMeter(Meter):
    """-log(1 - chance of a misreading) of every character of the fields, ties misread.

    The sum over a print is -log(1 - chance that some character is misread).
    """

    by_place = True

    def __init__(self, plan: Plan, forms: Sequence[LineForm], loss: float) -> None:
        lines = len(forms)
        super().__init__("misread risk", [len] * lines, [0] * lines, [False] * lines)
        self.forms = forms
        self.texts, self.readers, self._known, self._general = _shared(plan, loss)
        self.unsure: dict[str, None] = {}
        self._standing: list[_Standing] = []
        self._numbers: dict[tuple[Varying, int | None], int] = {}
        self._of_atom: dict[Varying, Texts] = {}

    def place(self, atom: Varying, index: int | None = None, /) -> Place:
        """See `Meter`."""
        key = atom, index
        if key not in self._numbers:
            texts = self._texts(atom)
            if index is None:
                self._standing.append(_Standing(texts))
            else:
                alphabet, sure = alphabet_at(texts, index)
                self._standing.append(_Standing(texts, alphabet))
                if not sure:
                    self.unsure[atom.names[-1]] = None
            self._numbers[key] = len(self._standing)
        return Place(atom.line, standing=self._numbers[key])

    def weigh(self, place: Place, text: str) -> int:
        """See `Meter`; literal text weighs nothing."""
        if not place.standing:
            return 0
        standing = self._standing[place.standing - 1]
        if standing.alphabet is not None:
            alphabets: Sequence[frozenset[str]] = (standing.alphabet,) * len(text)
        else:
            alphabets = alphabets_of(standing.texts, text)
        pairs = zip(text, alphabets, strict=True)
        return sum(self._weight(place.line, char, alphabet) for char, alphabet in pairs)

    def chance(self, resolved: ResolvedMessage, fonts: Mapping[str, Font]) -> Bracket:
        """The chance that some character of a print is misread."""
        return lost_chance(resolved, fonts, self.texts, self.readers)

    def general(self, resolved: ResolvedMessage, fonts: Mapping[str, Font]) -> GeneralRisk:
        """What a general reader makes of a print."""
        return general_risk(resolved, fonts, self.texts, self._general)

    def varying(self, atoms: Iterable[Atom], moment: Moment) -> int:
        """What comes of those atoms that vary, at a moment."""
        some = (atom for atom in atoms if not isinstance(atom, Literal))
        return sum(self.weigh(self.place(atom), text_of(atom, moment)) for atom in some)

    def why_not_exact(self) -> Iterator[str]:
        """Why the sum is only a bound."""
        for name in self.unsure:
            yield f"{name}: its parts vary in length; all its characters were taken for rivals"

    def _texts(self, atom: Varying) -> Texts:
        if atom not in self._of_atom:
            if isinstance(atom, Letter):
                self._of_atom[atom] = self.texts.letter(atom.clock, atom.part, atom.options)
            else:
                self._of_atom[atom] = self.texts.field(atom.field)
        return self._of_atom[atom]

    def _weight(self, line: int, char: str, alphabet: frozenset[str]) -> int:
        key = line, char, alphabet
        if key not in self._known:
            form = self.forms[line]
            font, chance = form.setter.font, 0.0
            if char in font.glyphs:
                reader = self.readers.of(font, form.line, alphabet | {char})
                chance = reader.misread(char).bracket.high
            self._known[key] = round(-log1p(-min(chance, 1 - LEAST_CHANCE)) * RISK_STEPS)
        return self._known[key]
