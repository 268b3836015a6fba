"""From atoms to groups: what varies together, and how each group is searched.

Variables that one field ties together (a check digit over a date and a counter) make one group.
The minute is searched by cells, a counter or input character by character; a group with other
fields is listed value by value when that is few enough. Of fields for which nothing else is left
only the shape is used, and what depends on it is a bound.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from math import prod

from rasterc.diagnostics import Diagnostic
from rasterc.domain.atoms import (
    SECOND,
    TIME,
    Kind,
    Variable,
    Varying,
    Whole,
    clock_atoms,
    features_of,
    reads_of,
)
from rasterc.domain.clockwork import TooManyCellsError, clockwork
from rasterc.domain.fieldtexts import FieldTexts
from rasterc.domain.progress import Progress, counted
from rasterc.domain.texts import shape_of
from rasterc.extremes.clockgroup import ClockGroup
from rasterc.extremes.components import Component, components_of
from rasterc.extremes.dated import Dates
from rasterc.extremes.group import Assignment, Group
from rasterc.extremes.listgroup import (
    MAX_LISTED,
    MAX_MISSING,
    ListGroup,
    NoText,
    combinations,
    input_group,
    list_group,
)
from rasterc.extremes.meter import LineForm, Meter
from rasterc.extremes.shapegroup import ShapeGroup
from rasterc.extremes.tape import goes_by_place
from rasterc.extremes.tapegroup import TapeGroup, assign
from rasterc.extremes.variables import Domain, domains_of
from rasterc.values import Plan
from rasterc.values.fields.kinds import CheckText, InputText, fields_read

_SECONDS = 60  # of a minute


@dataclass(frozen=True, slots=True)
class NoPrint:
    """Values for which the message has no text, and why."""

    assignment: Assignment
    diagnostic: Diagnostic


@dataclass(slots=True)
class Groups:
    """The groups of a message, the minute's first, then counters and inputs as declared.

    Attributes:
        no_prints: values without texts that were met.
        notes: what was not looked at.
        defaults: the first text of every input.
    """

    groups: list[Group] = field(default_factory=list)
    no_prints: list[NoPrint] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    defaults: Assignment = field(default_factory=Assignment)


def make_groups(
    plan: Plan,
    horizon: tuple[int, int],
    atoms: Sequence[Varying],
    forms: Sequence[LineForm],
    unprintable: Meter,
    progress: Progress,
) -> Groups:
    """The groups of a message's atoms over the minutes of a horizon, first to end.

    Raises:
        InputError: a clock leaves the years 1 to 9999, or a field has no text for any value.
    """

    def chars_of(line: int) -> Iterable[str]:
        return forms[line].setter.font.glyphs

    domains = domains_of(plan, atoms, chars_of, horizon)
    dates = Dates(plan, horizon)
    dates.check(domains)
    builder = _Builder(plan, horizon, unprintable, progress, chars_of, domains, dates)
    builder.found.notes += [domain.note for domain in domains.values() if domain.note]
    inputs = [(v.name, d.words) for v, d in domains.items() if v.kind is Kind.INPUT]
    first = {name: next(iter(words.texts()), "") for name, words in inputs}
    builder.found.defaults = Assignment(inputs=first)
    return builder.build(atoms)


@dataclass(slots=True)
class _Builder:
    plan: Plan
    horizon: tuple[int, int]
    unprintable: Meter
    progress: Progress
    chars_of: Callable[[int], Iterable[str]]
    domains: Mapping[Variable, Domain]
    dates: Dates
    found: Groups = field(default_factory=Groups)

    def build(self, atoms: Sequence[Varying]) -> Groups:
        bounded = {a: why for a in atoms if (why := self.why_not_searched(a))}
        left = [atom for atom in atoms if atom not in bounded]
        for component in self.components(left):
            if self.is_tied(component) and self.choices(component) is None:
                tied = [a for a in component.atoms if self.is_composite(a)]
                bounded |= dict.fromkeys(tied, f"more than {MAX_LISTED:,} values tied together")
        left = [atom for atom in left if atom not in bounded]
        for component in sorted(self.components(left), key=self.order):
            self.group(component, bounded)
        left = [atom for atom in left if atom not in bounded]
        for atom, why in bounded.items():
            self.bound(atom, why, left)
        return self.found

    def why_not_searched(self, atom: Varying) -> str:
        """Why an atom's values can be neither searched nor listed; empty when they can."""
        for variable in sorted(reads_of(atom)):
            domain = self.domains.get(variable)
            if domain is not None and domain.why_not:
                return domain.why_not
        return ""

    def is_composite(self, atom: Varying) -> bool:
        """Whether an atom ties variables together or cannot be searched in its own."""
        reads = reads_of(atom)
        if len(reads) > 1 or self.dates.read(reads):
            return True
        domain = self.domains.get(next(iter(reads)))
        if domain is None:
            return reads == {SECOND}  # only sixty: listed
        assert isinstance(atom, Whole)
        alphabet = frozenset(domain.words.alphabet)
        return not goes_by_place([atom], domain.words.lengths(), alphabet)

    def components(self, atoms: Sequence[Varying]) -> list[Component]:
        return components_of(atoms, self.dates.ties(atoms))

    def is_dated(self, component: Component) -> bool:
        return self.dates.are_apart(component.variables, component.atoms)

    def is_tied(self, component: Component) -> bool:
        return not self.is_dated(component) and any(map(self.is_composite, component.atoms))

    def choices(self, component: Component) -> list[list[Assignment]] | None:
        """The values of each variable, None when they multiply to too many."""
        others = sorted(component.variables - {TIME}, key=self.place)
        number = prod(
            self.domains[v].words.count().number if v in self.domains else _SECONDS for v in others
        )
        if number > MAX_LISTED:
            return None
        choices: list[list[Assignment]] = []
        if TIME in component.variables:
            minutes = self.minutes(component, MAX_LISTED // number)
            if minutes is None:
                return None
            choices.append([Assignment(minute=minute) for minute in minutes])
        return choices + [self.values(variable) for variable in others]

    def values(self, variable: Variable) -> list[Assignment]:
        if variable == SECOND:
            return [Assignment(second=second) for second in range(_SECONDS)]
        words = self.domains[variable].words
        return [assign(variable, words, text) for text in words.texts()]

    def minutes(self, component: Component, limit: int) -> list[int] | None:
        """The first minute of everything the component's clocks can show, if it is little."""
        atoms: dict[Varying, None] = dict.fromkeys(self.dates.letters(component.variables))
        for atom in component.atoms:
            if reads_of(atom) == {TIME}:
                atoms[atom] = None
            elif isinstance(atom, Whole):
                atoms |= dict.fromkeys(clock_atoms(self.plan, atom.field))
        try:
            return ClockGroup(clockwork(self.plan, *self.horizon, list(atoms))).representatives(
                limit
            )
        except TooManyCellsError:
            return None

    def group(self, component: Component, bounded: dict[Varying, str]) -> None:
        """Add the group of a component; what turns out to be too much is bounded."""
        if self.is_dated(component):
            self.dated(component, bounded)
        elif self.is_tied(component):
            self.found.groups.append(self.listed(component))
        elif component.variables == {TIME}:
            self.found.groups.append(self.followed(component.atoms, bounded))
        else:
            self.found.groups.append(self.tape(component))

    def followed(
        self, atoms: Sequence[Varying], bounded: dict[Varying, str], also: Sequence[str] = ()
    ) -> ClockGroup:
        try:
            work = clockwork(self.plan, *self.horizon, atoms, also)
        except TooManyCellsError as error:
            bounded[error.atom] = "a field that mixes dates and minutes"
            return self.followed([a for a in atoms if a != error.atom], bounded, also)
        self.found.no_prints += [
            NoPrint(Assignment(minute=fault.minute), fault.diagnostic) for fault in work.faults
        ]
        return ClockGroup(work)

    def dated(self, component: Component, bounded: dict[Varying, str]) -> None:
        """Add the group of dates, with the minute when that limits them."""
        names = self.dates.read(component.variables)
        group: Group
        if TIME in component.variables:
            timed = [atom for atom in component.atoms if reads_of(atom) == {TIME}]
            clocks = self.followed(timed, bounded, self.dates.limits(names))
            group, missing = self.dates.group(clocks, names, component.atoms)
        else:
            group, missing = self.dates.listed(names[0], component.atoms, self.unprintable)
        self.found.groups.append(group)
        self.found.no_prints += [NoPrint(*each) for each in missing]

    def tape(self, component: Component) -> TapeGroup:
        (variable,) = component.variables
        atoms = [a for a in component.atoms if isinstance(a, Whole)]
        words = self.domains[variable].words
        group = TapeGroup(variable, words, atoms, self.unprintable)
        for refused in group.refused:
            text = next((w for w in words.texts() if len(w) == refused.length), None)
            if text is not None:
                no_print = NoPrint(assign(variable, words, text), refused.diagnostic)
                self.found.no_prints.append(no_print)
        return group

    def listed(self, component: Component) -> ListGroup:
        group, missing = self.of_input(component) or self.tried(component)
        self.found.no_prints += [NoPrint(no.assignment, no.diagnostic) for no in missing]
        if len(missing) >= MAX_MISSING:
            self.found.notes.append(f"of values without a text only {MAX_MISSING} are told of")
        return group

    def of_input(self, component: Component) -> tuple[ListGroup, list[NoText]] | None:
        """The group of one input, when nothing else goes into its atoms."""
        variables, atoms = [*component.variables], component.atoms
        plain = [a for a in atoms if isinstance(a, Whole) and isinstance(a.field.source, InputText)]
        if len(variables) > 1 or variables[0].kind is not Kind.INPUT or len(plain) < len(atoms):
            return None
        texts = self.domains[variables[0]].words.texts()
        return input_group(plain, variables[0].name, texts, self.unprintable)

    def tried(self, component: Component) -> tuple[ListGroup, list[NoText]]:
        """The group of all values of some variables, tried one after another."""
        choices = self.choices(component)
        assert choices is not None
        names = " and ".join(v.name or str(v.kind) for v in sorted(component.variables))
        what = f"of {prod(map(len, choices)):,} values of {names} tried"
        possible = filter(self.dates.is_possible, combinations(choices))
        values = counted(possible, what, self.progress)
        return list_group(self.plan, component.atoms, values, self.unprintable)

    def bound(self, atom: Varying, why: str, atoms: Sequence[Varying]) -> None:
        assert isinstance(atom, Whole)
        texts = FieldTexts(self.plan, frozenset(self.chars_of(atom.line)), self.horizon)
        shape = shape_of(texts.field(atom.field))
        group = ShapeGroup(atom, shape, _because(atom, why), self.follows(atom, atoms))
        self.found.groups.append(group)

    def follows(self, atom: Whole, atoms: Sequence[Varying]) -> bool:
        """Whether all that an atom depends on is printed elsewhere."""
        shown = {feature for other in atoms for feature in features_of(other)}
        plain = {v for other in atoms if not self.is_composite(other) for v in reads_of(other)}
        return set(atom.features) <= shown and atom.reads <= plain | {TIME}

    def place(self, variable: Variable) -> tuple[int, int]:
        message = self.plan.message
        kinds = (Kind.TIME, Kind.SECOND, Kind.COUNTER, Kind.INPUT)
        names = [*message.counters, *message.inputs]
        return kinds.index(variable.kind), names.index(variable.name) if variable.name else 0

    def order(self, component: Component) -> tuple[int, int]:
        return min(map(self.place, component.variables))


def _because(atom: Whole, why: str) -> str:
    checks = [f for f in fields_read([atom.field]) if isinstance(f.source, CheckText)]
    what = "any check character was allowed for" if checks else "any text of its form allowed for"
    return f"{atom.field.name}: {why}; {what}"
