"""Sets of texts, kept as components that stand one after another.

A component is every text it can be, as long as these are few, or else what is known of them: their
characters and their lengths. Options are applied to components, so that the first two letters of a
date stay exactly that.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from functools import reduce

from rasterc.diagnostics import InputError
from rasterc.values.fields.options import (
    First,
    Last,
    LookUp,
    Lower,
    NoPoints,
    Option,
    Pad,
    Part,
    Upper,
)

MAX_TEXTS = 20_000  # texts of a component that are listed
MAX_COMPONENTS = 1_000


@dataclass(frozen=True, slots=True)
class Component:
    """What can stand at one place of a text.

    Attributes:
        chars: every character that can occur.
        shortest, longest: lengths.
        texts: all texts, or None when they are too many to list.
    """

    chars: frozenset[str]
    shortest: int
    longest: int
    texts: frozenset[str] | None = None

    @property
    def fixed(self) -> bool:
        """Whether all its texts are of one length."""
        return self.shortest == self.longest

    def holds(self, text: str) -> bool:
        """Whether ``text`` can be one of its texts."""
        if self.texts is not None:
            return text in self.texts
        return self.shortest <= len(text) <= self.longest and self.chars.issuperset(text)


Texts = tuple[Component, ...]


def listed(texts: Iterable[str]) -> Component:
    """A component of these texts."""
    known = frozenset(texts)
    lengths = [len(text) for text in known] or [0]
    chars = frozenset("".join(known))
    return Component(chars, min(lengths), max(lengths), known if len(known) <= MAX_TEXTS else None)


def loose(chars: Iterable[str], shortest: int, longest: int) -> Component:
    """A component known by its characters and lengths alone."""
    return Component(frozenset(chars), shortest, longest)


def either(many: Sequence[Texts]) -> Texts:
    """Texts that are one of several; perhaps too many, where these have other components."""
    distinct = list(dict.fromkeys(many))
    if len(distinct) == 1:
        return distinct[0]
    if len({*map(len, distinct)}) == 1:
        return tuple(map(_united, zip(*distinct, strict=True)))
    lengths = [(sum(p.shortest for p in some), sum(p.longest for p in some)) for some in distinct]
    chars = frozenset[str]().union(*map(characters, distinct))
    return (loose(chars, min(a for a, _ in lengths), max(b for _, b in lengths)),)


def _united(parts: Sequence[Component]) -> Component:
    known = [part.texts for part in parts if part.texts is not None]
    if len(known) == len(parts):
        return listed(frozenset[str]().union(*known))
    chars = frozenset[str]().union(*(part.chars for part in parts))
    return loose(chars, min(p.shortest for p in parts), max(p.longest for p in parts))


def within_reason(texts: Texts) -> Texts:
    """The texts, taken together as one component when they have too many.

    A text of texts of texts can have more components than anyone prints.
    """
    if len(texts) <= MAX_COMPONENTS:
        return texts
    lengths = sum(part.shortest for part in texts), sum(part.longest for part in texts)
    return (loose(characters(texts), *lengths),)


def characters(texts: Texts) -> frozenset[str]:
    """Every character that can occur."""
    return frozenset[str]().union(*(part.chars for part in texts))


def alphabets_of(texts: Texts, text: str) -> tuple[frozenset[str], ...]:
    """For each character of ``text`` what its component can print, that of its place when it holds
    others; everything when ``text`` does not fall into the components."""
    if len(texts) == 1:
        return (texts[0].chars,) * len(text)
    split = _split(texts, text) or _split(texts, text, by_length=True)
    if split is None:
        return (characters(texts),) * len(text)
    return tuple(
        part.chars for part, length in zip(texts, split, strict=True) for _ in range(length)
    )


def alphabet_at(texts: Texts, place: int) -> tuple[frozenset[str], bool]:
    """What can stand at a place, and whether it is the same whatever stands before it."""
    for number, part in enumerate(texts):
        if place < part.shortest or part is texts[-1]:
            return part.chars, True
        if not part.fixed:
            rest = characters(texts[number:])
            return rest, all(one.chars == rest for one in texts[number:])
        place -= part.longest
    return frozenset(), True


@dataclass(frozen=True, slots=True)
class Shape:
    """Texts of ``least`` to ``len(places)`` characters, each out of the set at its place."""

    places: tuple[frozenset[str], ...]
    least: int

    @property
    def fixed(self) -> bool:
        """Whether all texts have the same length."""
        return self.least == len(self.places)

    def number(self) -> int:
        """How many texts are of the shape."""
        product = 1
        total = int(self.least == 0)
        for number, chars in enumerate(self.places, 1):
            product *= len(chars)
            total += product if number >= self.least else 0
        return total


def shape_of(texts: Texts) -> Shape:
    """The shape of all texts: what can stand at each place, whatever stands at the others."""
    places: list[set[str]] = []
    least = 0
    for part in texts:
        most = len(places)
        places += [set() for _ in range(part.longest)]
        for begin in range(least, most + 1):
            for at, chars in enumerate(_places(part), begin):
                places[at].update(chars)
        least += part.shortest
    return Shape(tuple(map(frozenset, places)), least)


def _places(part: Component) -> Sequence[Collection[str]]:
    if part.texts is None:
        return (part.chars,) * part.longest
    return [{text[at] for text in part.texts if len(text) > at} for at in range(part.longest)]


def _split(texts: Texts, text: str, by_length: bool = False) -> list[int] | None:
    """The lengths of the components in ``text``, by trying each place they can end at."""
    ends: list[dict[int, int]] = [{0: 0}]  # after each component: end -> where it began
    for part in texts:
        reached: dict[int, int] = {}
        for begin in ends[-1]:
            for end in range(begin + part.shortest, min(begin + part.longest, len(text)) + 1):
                if end not in reached and (by_length or part.holds(text[begin:end])):
                    reached[end] = begin
        ends.append(reached)
    if len(text) not in ends[-1]:
        return None
    lengths, at = [], len(text)
    for reached in reversed(ends[1:]):
        lengths.append(at - reached[at])
        at = reached[at]
    return lengths[::-1]


def after(texts: Texts, option: Option) -> Texts:
    """The texts after an option. Never too few; with more than `MAX_TEXTS` possibly too many."""
    match option:
        case Upper() | Lower() | NoPoints():
            return tuple(_each(part, option) for part in texts)
        case First() | Last():
            return _sliced(texts, option)
        case Part(first, last, _):
            return _sliced(_sliced(texts, First(last)), Last(last - first + 1))
        case Pad(width, on_left, fill):
            return _padded(texts, width, on_left, fill)
        case LookUp():
            return (_looked_up(texts, option),)
    whole = _whole(texts)
    assert whole is not None, f"no rule for the option {option}"
    return (listed(option.apply(text) for text in whole),)


def _each(part: Component, option: Upper | Lower | NoPoints) -> Component:
    """An option that works on one character after another."""
    if part.texts is not None:
        return listed(map(option.apply, part.texts))
    # A small letter may look different at the end of a word.
    chars = {c for char in part.chars for c in option.apply(char) + option.apply("a" + char)[1:]}
    shrinks = isinstance(option, NoPoints) and "." in part.chars
    grows = max((len(option.apply(char)) for char in part.chars), default=1)
    return loose(chars, 0 if shrinks else part.shortest, part.longest * max(1, grows))


def _sliced(texts: Texts, option: First | Last) -> Texts:
    """The first or last characters, component by component as far as the lengths allow."""
    if not all(part.fixed for part in texts):
        whole = _whole(texts)
        if whole is not None:
            return (listed(map(option.apply, whole)),)
    forward = isinstance(option, First)
    kept: list[Component] = []
    left, sure = option.count, True
    for part in texts if forward else reversed(texts):
        if left <= 0:
            break
        kept.append(_cut(part, type(option)(left), sure))
        left, sure = left - part.shortest, sure and part.fixed
    return tuple(kept if forward else reversed(kept))


def _cut(part: Component, option: First | Last, sure: bool) -> Component:
    """A component cut to so many characters, or, when that is not sure, to fewer."""
    if sure and part.texts is not None:
        return listed(map(option.apply, part.texts))
    shortest = min(part.shortest, option.count) if sure else 0
    return loose(part.chars, shortest, min(part.longest, option.count))


def _padded(texts: Texts, width: int, on_left: bool, fill: str) -> Texts:
    shortest, longest = (sum(getattr(p, end) for p in texts) for end in ("shortest", "longest"))
    if shortest >= width:
        return texts
    padding = listed(fill * n for n in range(max(0, width - longest), width - shortest + 1))
    return (padding, *texts) if on_left else (*texts, padding)


def _looked_up(texts: Texts, option: LookUp) -> Component:
    whole = _whole(texts)
    if whole is None:
        table = option.table
        return listed([*table.rows.values(), *([] if table.other is None else [table.other])])
    found: set[str] = set()
    for text in whole:
        try:
            found.add(option.apply(text))
        except InputError:
            continue  # a key the table lacks is refused, nothing is printed
    return listed(found)


def _whole(texts: Sequence[Component]) -> frozenset[str] | None:
    """All texts, or None when they are too many to list."""
    size = 1
    for part in texts:
        if part.texts is None:
            return None
        size *= len(part.texts)
    if size > MAX_TEXTS:
        return None
    sets = [part.texts or frozenset() for part in texts]
    return reduce(lambda all_, more: frozenset(a + b for a in all_ for b in more), sets, _EMPTY)


_EMPTY = frozenset([""])
