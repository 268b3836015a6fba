"""What of the texts that are looked at goes by the time, ready to be held against itself.

Fields that can be told apart are compared field by field, those that touch by their joined text.
Where counters, inputs or check characters stand among fields that touch, the text of the others is
a *row*: two different rows may print the same (`overlap`).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from rasterc.domain.atoms import (
    SECOND,
    TIME,
    Atom,
    Feature,
    Kind,
    Letter,
    Literal,
    Variable,
    Varying,
    Whole,
    features_of,
    reads_of,
)
from rasterc.domain.calendar import FEATURES
from rasterc.domain.clockwork import Clockwork, TooManyCellsError, clockwork
from rasterc.domain.codes import Index, compressed, firsts, rows_of
from rasterc.domain.fieldtexts import FieldTexts
from rasterc.domain.printer import Printed, Printer, text_codes
from rasterc.domain.texts import characters, listed, shape_of
from rasterc.extremes.joint import Joint, joint_of, spelled
from rasterc.extremes.overlap import Overlaps, Row
from rasterc.extremes.spellings import OfShape, Spelling, spelling
from rasterc.extremes.touching import Extent, extent_of_texts, touching
from rasterc.extremes.variables import Domain
from rasterc.values import Plan

_PARTED = "\0"  # stands between stretches of one code; no text has it
_SECONDS = [f"{second:02}" for second in range(60)]

Texts = Sequence[tuple[Atom, ...]]


@dataclass(slots=True)
class Sight:
    """The texts of a code over time.

    Attributes:
        work: the clock atoms; those by the minute can be told apart, or are in one of ``joints``.
        told: number of the text in each cell, as far as it can be told from the whole text.
        rows: texts that can be told only together with the free fields between them.
        row: which of them each cell has.
        overlaps: what of ``rows`` may print the same.
        joints: touching fields that go by the minute, and no free field among them.
        free: atoms among touching fields that do not go by the time.
        alone: those of them that are the only one in their stretch.
        hidden: number of all that fields show in each cell that cannot be followed: a check
            character over a whole year of which two digits are printed, say; None without.
        unseen: names of fields that go by the time and could not be followed in any way.
    """

    work: Clockwork
    told: Index
    rows: list[Row]
    row: Index
    overlaps: Overlaps
    joints: tuple[Joint, ...]
    free: tuple[Varying, ...]
    alone: tuple[Varying, ...]
    hidden: Index | None
    unseen: list[str] = field(default_factory=list)

    @property
    def days(self) -> Index:
        """Number of the whole text of each cell."""
        if len(self.rows) == 1:
            return self.told
        return firsts(compressed(self.told * len(self.rows) + self.row))[1]


def sight(
    plan: Plan,
    minutes: tuple[int, int],
    texts: Texts,
    also: Sequence[str],
    fields: FieldTexts,
    domains: Mapping[Variable, Domain],
) -> Sight:
    """The texts over the minutes from the first to the end; ``also`` names clocks and shifts that
    cells are cut for."""
    varying = [atom for text in texts for atom in text if not isinstance(atom, Literal)]

    def extents_of(work: Clockwork) -> dict[Atom, Extent]:
        printed = {p.atom: p.texts for p in (*work.by_cell, *work.by_minute)}
        return {a: _extent(a, printed.get(a), fields, domains) for a in varying}

    mine = [atom for atom in varying if reads_of(atom) == {TIME}]
    also = [*also, *(feature.of for atom in varying for feature in _hidden(atom, mine))]
    work = _followed(plan, minutes, mine, also)
    parts = [part for text in texts for part in touching(text, extents_of(work))]
    joints = {part: joint_of(work, part) for part in parts}
    touched = {atom for part in parts if joints[part] is None for atom in part}
    still = [printed.atom for printed in work.by_minute if printed.atom in touched]
    if still:
        work = _followed(plan, minutes, mine, also, still)
        joints = {part: joint_of(work, part) for part in parts}
    seen = _Seen(work, {printed.atom: printed for printed in work.by_cell}, fields, domains)
    printer = Printer(plan, work.timeline)
    hidden = {f for atom in varying for f in _hidden(atom, mine) if f.name in FEATURES}
    code = rows_of(map(printer.features, sorted(hidden)), len(work.timeline))[1] if hidden else None
    unseen = [atom.names[-1] for atom in varying if not _hidden(atom, mine) <= hidden]
    return seen.sight(parts, joints, code, unseen)


def _followed(
    plan: Plan,
    minutes: tuple[int, int],
    atoms: list[Varying],
    also: Sequence[str],
    still: Collection[Varying] = (),
) -> Clockwork:
    """The clockwork of those atoms that can be followed; the others are taken out of ``atoms``."""
    while True:
        try:
            return clockwork(plan, *minutes, atoms, also, still)
        except TooManyCellsError as error:
            atoms.remove(error.atom)


def _hidden(atom: Varying, followed: Collection[Varying]) -> set[Feature]:
    """What an atom that cannot be followed shows of the time, and no atom followed does."""
    if atom in followed or TIME not in reads_of(atom):
        return set()
    return {*features_of(atom)} - {f for other in followed for f in features_of(other)}


def _extent(
    atom: Varying,
    texts: Sequence[str] | None,
    fields: FieldTexts,
    domains: Mapping[Variable, Domain],
) -> Extent:
    if texts is not None:
        return extent_of_texts(texts)
    if not isinstance(atom, Whole):  # a letter for seconds, or one that was not followed
        return extent_of_texts(_SECONDS if atom.part.count > 1 else [*_SECONDS, "0"])
    own = fields.field(atom.field)
    least, most = sum(part.shortest for part in own), sum(part.longest for part in own)
    inputs = [domains[v] for v in atom.reads if v.kind is Kind.INPUT]
    whole = all(not domain.note for domain in inputs)
    return Extent(least, most, characters(own) if whole else None)


@dataclass(slots=True)
class _Seen:
    work: Clockwork
    printed: Mapping[Varying, Printed]
    fields: FieldTexts
    domains: Mapping[Variable, Domain]

    def sight(
        self,
        parts: Sequence[tuple[Atom, ...]],
        joints: Mapping[tuple[Atom, ...], Joint | None],
        hidden: Index | None,
        unseen: list[str],
    ) -> Sight:
        by_cell = [part for part in parts if joints[part] is None]
        mixed = [part for part in by_cell if any(map(self.is_free, part))]
        still = [part for part in by_cell if part not in mixed]
        touched = {atom for part in parts for atom in part}
        told = text_codes((p for p in self.work.by_cell if p.atom not in touched), self.cells)
        for part in still:
            joined = spelled([a.text if isinstance(a, Literal) else self.printed[a] for a in part])
            told = compressed(told * (int(joined.max()) + 1) + joined)
        rows, row = self.spelled(mixed)
        free = [[a for a in part if self.is_free(a)] for part in mixed]
        atoms = tuple(a for part in free for a in part if not isinstance(a, Literal))
        alone = tuple(p[0] for p in free if len(p) == 1 and not isinstance(p[0], Literal))
        return Sight(
            self.work,
            firsts(told)[1],
            rows,
            row,
            Overlaps(rows, [self.spelling(atom) for atom in atoms]),
            tuple(joint for joint in joints.values() if joint is not None),
            atoms,
            alone,
            hidden,
            unseen,
        )

    @property
    def cells(self) -> int:
        return len(self.work.timeline)

    def is_free(self, atom: Atom) -> bool:
        return not isinstance(atom, Literal) and atom not in self.printed

    def spelling(self, atom: Varying) -> Spelling:
        if not isinstance(atom, Whole):
            return OfShape(shape_of((listed([*_SECONDS, *map(str, range(10))]),)))
        known = [self.domains[v] for v in atom.reads if v in self.domains]
        words = [domain.words for domain in known if not domain.why_not]
        one = words[0] if len(words) == len(atom.reads) == 1 else None
        return spelling(atom, one, shape_of(self.fields.field(atom.field)))

    def spelled(self, parts: Sequence[tuple[Atom, ...]]) -> tuple[list[Row], Index]:
        """The rows of stretches, one after another, and which of them each cell has."""
        mine = [
            self.printed[a]
            for part in parts
            for a in part
            if not (isinstance(a, Literal) or self.is_free(a))
        ]
        if not mine:
            return [self.row(parts, 0)], np.zeros(self.cells, dtype=np.intp)
        first, which = firsts(text_codes(mine, self.cells))
        known: dict[Row, int] = {}
        numbers = [known.setdefault(self.row(parts, int(cell)), len(known)) for cell in first]
        return list(known), np.array(numbers, dtype=np.intp)[which]

    def row(self, parts: Sequence[tuple[Atom, ...]], cell: int) -> Row:
        texts = [""]
        for number, part in enumerate(parts):
            texts[-1] += _PARTED if number else ""
            for atom in part:
                if isinstance(atom, Literal):
                    texts[-1] += atom.text
                elif (printed := self.printed.get(atom)) is not None:
                    texts[-1] += printed.texts[printed.ids[cell]]
                else:
                    texts.append("")
        return tuple(texts)


def seconds_shown(atoms: Iterable[Varying]) -> bool:
    """Whether any atom is a letter for the seconds."""
    return any(isinstance(atom, Letter) and reads_of(atom) == {SECOND} for atom in atoms)
