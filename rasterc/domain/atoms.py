"""A message's lines taken apart: pieces that depend on as little as possible.

Texts without options are replaced by their pieces and date patterns by their letters, so that
what is printed is a row of atoms for each line. The weight of a line (its strokes, drops or
characters) is then the sum over its atoms, and atoms that depend on different things vary freely.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from enum import StrEnum

from msgspec import structs

from rasterc.diagnostics import InputError
from rasterc.domain.calendar import OF_LETTER
from rasterc.source.message import Picture
from rasterc.values import Instant, Places, Plan
from rasterc.values.dates.patterns import Part
from rasterc.values.fields.kinds import (
    CheckText,
    ClockTable,
    ClockText,
    CounterText,
    FieldPlan,
    InputText,
    JoinedText,
    Piece,
    ShiftText,
    fields_read,
)
from rasterc.values.fields.options import Lower, NoPoints, Option, Upper
from rasterc.values.model import Run
from rasterc.values.moment import Moment
from rasterc.values.plan import LinePlan


class Kind(StrEnum):
    """What can vary."""

    TIME = "time"  # the minute, which all clocks share
    SECOND = "second"  # within its minute
    COUNTER = "counter"
    INPUT = "input"


@dataclass(frozen=True, slots=True, order=True)
class Variable:
    """One thing that varies on its own; ``name`` is that of a counter or input."""

    kind: Kind
    name: str = ""


_ANY_MOMENT = datetime(2000, 1, 1, tzinfo=UTC)  # for what does not depend on it

TIME, SECOND = Variable(Kind.TIME), Variable(Kind.SECOND)


@dataclass(frozen=True, slots=True, order=True)
class Feature:
    """One aspect of a clock or shift, such as the month: what a date letter shows.

    ``divided`` is set for rows of a table of times: minutes in each.
    """

    of: str
    name: str
    divided: int = 1


PART = "part"  # the feature of a shift: which part runs


@dataclass(frozen=True, slots=True, eq=False)
class Literal:
    """Text of a line that is always the same."""

    line: int
    text: str
    names: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Letter:
    """One letter of a clock's date pattern, with the options of its field."""

    line: int
    clock: str
    part: Part
    options: tuple[Option, ...]
    names: tuple[str, ...]

    @property
    def feature(self) -> Feature:
        """What it shows."""
        return Feature(self.clock, OF_LETTER[self.part.letter])


@dataclass(frozen=True, slots=True, eq=False)
class Whole:
    """A field that is not taken apart further, and all it depends on."""

    line: int
    field: FieldPlan
    reads: frozenset[Variable]
    features: tuple[Feature, ...]
    names: tuple[str, ...]


Varying = Letter | Whole
Atom = Literal | Varying


def reads_of(atom: Varying) -> frozenset[Variable]:
    """What an atom depends on."""
    if isinstance(atom, Whole):
        return atom.reads
    return frozenset({SECOND if atom.feature.name == "second" else TIME})


def features_of(atom: Varying) -> tuple[Feature, ...]:
    """What an atom reads of clocks and shifts."""
    return atom.features if isinstance(atom, Whole) else (atom.feature,)


def take_apart(plan: Plan) -> tuple[Atom, ...]:
    """The atoms of all lines, in order; lines are numbered through all blocks from 0.

    ``names`` of an atom are the fields and texts it was reached through.

    Raises:
        InputError: a field that does not vary has no text.
    """
    assert plan.cases is None, "its cases are looked at one by one"
    apart = _Apart(plan)
    lines = enumerate(lines_of(plan))
    atoms = [atom for number, line in lines for atom in apart.pieces(number, line.pieces, ())]
    for atom in atoms:
        if isinstance(atom, Whole) and not atom.reads:
            atom.field.text(apart.still)  # raises the error
    return tuple(atoms)


def lines_of(plan: Plan) -> list[LinePlan]:
    """The lines of a plan, block by block, top to bottom."""
    blocks = [b.content for b in plan.blocks if not isinstance(b.content, Picture)]
    return [line for lines in blocks for line in lines]


def atoms_of(
    plan: Plan, pieces: Iterable[Piece], options: tuple[Option, ...] = ()
) -> tuple[Atom, ...]:
    """The atoms of pieces one after another, each with more options after its own.

    A field that does not vary and has no text is a `Whole` that reads nothing.
    """
    return tuple(_Apart(plan).pieces(0, pieces, (), options))


def letters_of(plan: Plan, source: ClockText) -> tuple[Literal | Letter, ...]:
    """The letters of a date pattern, without the options of its field."""
    return tuple(_Apart(plan).letters(0, source, (), ()))


def clock_atoms(plan: Plan, field: FieldPlan) -> tuple[Varying, ...]:
    """Atoms that depend on the minute alone and differ whenever the clocks in a field do."""
    apart = _Apart(plan)
    atoms: list[Varying] = []
    for read in fields_read([field]):
        features = tuple(apart.features(read))
        if isinstance(read.source, ClockText) and features:
            letters = letters_of(plan, read.source)
            atoms += [a for a in letters if isinstance(a, Letter) and reads_of(a) == {TIME}]
        elif isinstance(read.source, ClockTable | ShiftText) and features:
            bare = structs.replace(read, options=())
            atoms.append(Whole(0, bare, frozenset({TIME}), features, ()))
    return tuple(atoms)


class _Apart:
    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.still = Moment(plan, Instant(_ANY_MOMENT), Places())

    def pieces(
        self,
        line: int,
        pieces: Iterable[Piece],
        names: tuple[str, ...],
        options: tuple[Option, ...] = (),
    ) -> Iterator[Atom]:
        for piece in pieces:
            if isinstance(piece, Run):
                yield Literal(line, _apply(options, piece.text), names)
            else:
                field = (
                    structs.replace(piece, options=piece.options + options) if options else piece
                )
                yield from self.field(line, field, (*names, piece.name))

    def field(self, line: int, field: FieldPlan, names: tuple[str, ...]) -> Iterator[Atom]:
        source = field.source
        in_parts = all(map(by_parts, field.options))
        if isinstance(source, JoinedText) and in_parts:
            yield from self.pieces(line, source.pieces, names, field.options)
            return
        features = tuple(sorted(set(self.features(field))))
        reads = frozenset(self.variables(field))
        text = self.text(field) if not reads else None
        if text is not None:
            yield Literal(line, text, names)
        elif isinstance(source, ClockText) and in_parts and features:
            yield from self.letters(line, source, field.options, names)
        else:
            yield Whole(line, field, reads, features, names)

    def text(self, field: FieldPlan) -> str | None:
        """The text of a field that does not vary; None when it has none."""
        try:
            return field.text(self.still)
        except InputError:
            return None

    def letters(
        self, line: int, source: ClockText, options: tuple[Option, ...], names: tuple[str, ...]
    ) -> Iterator[Literal | Letter]:
        stands_still = not self.runs(source.clock)
        for part in source.pattern.parts:
            if not part.letter or (part.letter == "s" and stands_still):
                text = part.text if not part.letter else "0" * part.count
                yield Literal(line, _apply(options, text), names)
            else:
                yield Letter(line, source.clock, part, options, names)

    def runs(self, clock: str) -> bool:
        """Whether the clock's wall time runs; it stands still since the start of a shift."""
        at = self.plan.clocks[clock].clock
        while at.base is not None:
            at = self.plan.clocks[at.base].clock
        return at.zone is not None

    def variables(self, field: FieldPlan) -> Iterator[Variable]:
        source = field.source
        if isinstance(source, CounterText):
            yield Variable(Kind.COUNTER, source.counter.name)
        elif isinstance(source, InputText):
            yield Variable(Kind.INPUT, source.rule.input.name)
        elif isinstance(source, ClockText) and self.plan.clocks[source.clock].root.typed:
            yield Variable(Kind.INPUT, self.plan.clocks[source.clock].root.name)
        elif isinstance(source, JoinedText | CheckText):
            for piece in source.pieces:
                if not isinstance(piece, Run):
                    yield from self.variables(piece)
        for feature in self.features(field):
            yield SECOND if feature.name == "second" else TIME

    def features(self, field: FieldPlan) -> Iterator[Feature]:
        """What a field reads of clocks that are read from the instant."""
        source = field.source
        match source:
            case ClockText(clock, pattern) if self.varies(clock):
                names = {OF_LETTER[p.letter] for p in pattern.parts if p.letter}
                if not self.runs(clock):
                    names.discard("second")
                yield from (Feature(clock, name) for name in names)
            case ClockTable(clock, table, _) if self.varies(clock):
                assert table.every_minutes is not None
                name = "minute" if table.every_of == "hour" else "time"
                yield Feature(clock, name, table.every_minutes)
            case ShiftText(shift) if self.varies(self.plan.schedules[shift].shift.clock):
                yield Feature(shift, PART)
            case JoinedText() | CheckText():
                for piece in source.pieces:
                    if not isinstance(piece, Run):
                        yield from self.features(piece)

    def varies(self, clock: str) -> bool:
        return self.plan.clocks[clock].root.zone is not None


def by_parts(option: Option) -> bool:
    """Whether an option can be applied to each part of a text on its own.

    Greek accents and the final sigma depend on what stands beside a letter.
    """
    return isinstance(option, NoPoints) or (
        isinstance(option, Upper | Lower) and option.language != "el"
    )


def _apply(options: Iterable[Option], text: str) -> str:
    for option in options:
        text = option.apply(text)
    return text
