"""Some of the texts of a counter or an input: those that fit what was read."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import islice

from rasterc.domain.counterwords import CounterWords
from rasterc.domain.templates import Template, any_of, matcher, meet, shown
from rasterc.domain.words import Words

MAX_SHOWN = 20  # texts or templates named
MAX_RANGES = 1000


@dataclass(frozen=True, slots=True)
class Chosen:
    """The texts of ``words`` that fit one of ``templates``, which all fit some; or those listed."""

    words: Words
    templates: tuple[Template, ...] = ()
    listed: frozenset[str] | None = None

    @classmethod
    def whole(cls, words: Words) -> Chosen:
        """All of the texts."""
        return cls.fitting(words, map(any_of, words.lengths()))

    @classmethod
    def fitting(cls, words: Words, templates: Iterable[Template]) -> Chosen:
        """Those that fit one of some templates."""
        return cls(words, tuple(filter(words.can_fit, dict.fromkeys(templates))))

    def meet(self, other: Chosen) -> Chosen:
        """The texts in both."""
        if self.listed is not None:
            return Chosen(self.words, (), frozenset(filter(other.holds, self.listed)))
        if other.listed is not None:
            return other.meet(self)
        pairs = (meet(a, b) for a in self.templates for b in other.templates)
        return Chosen.fitting(self.words, (both for both in pairs if both is not None))

    def holds(self, text: str) -> bool:
        """Whether one of the texts of ``words`` is among them."""
        if self.listed is not None:
            return text in self.listed
        return any(matcher(template)(text) for template in self.templates)

    def is_empty(self) -> bool:
        """Whether there are none."""
        return not (self.templates if self.listed is None else self.listed)

    def texts(self, limit: int) -> list[str] | None:
        """The texts, sorted; None when there are more than ``limit`` or they have no end."""
        if self.listed is not None:
            return sorted(self.listed) if len(self.listed) <= limit else None
        found: set[str] = set()
        for template in self.templates:
            spelled = self.words.listing(template)
            if spelled is None:
                return None
            found.update(islice(spelled, limit + 1))
            if len(found) > limit:
                return None
        return sorted(found)

    def shown(self) -> tuple[str, ...]:
        """The texts for a person to read, see `templates.shown`: at most `MAX_SHOWN` of them, then
        "..."."""
        if self.listed is not None:
            patterns = sorted(self.listed)
        else:
            patterns = sorted(map(shown, self.templates), key=lambda text: (len(text), text))
        return (*patterns[:MAX_SHOWN], *(["..."] if len(patterns) > MAX_SHOWN else []))

    def ranges(self) -> Iterator[range]:
        """The values of a counter, in ascending order as far as they come from one template."""
        words = self.words
        assert isinstance(words, CounterWords)
        for value in sorted(map(words.value, self.listed or ())):
            yield range(value, value + 1)
        for template in self.templates:
            yield from words.ranges(template)


def joined(parts: Iterable[range]) -> tuple[tuple[range, ...], bool]:
    """Ranges put together where they go on evenly, and whether some were left out.

    >>> joined([range(5, 6), range(15, 16), range(25, 26)])
    ((range(5, 26, 10),), False)
    """
    some = list(islice(parts, 50 * MAX_RANGES + 1))
    out: list[range] = []
    for part in sorted(some, key=lambda part: (part.start, len(part))):
        grown = _grown(out[-1], part) if out else None
        if grown is None:
            out.append(part)
        else:
            out[-1] = grown
    return tuple(out[:MAX_RANGES]), len(out) > MAX_RANGES or len(some) > 50 * MAX_RANGES


def _grown(last: range, part: range) -> range | None:
    """``last`` with ``part`` after or within it, if that is a range."""
    if len(part) == 1 and part.start in last:
        return last
    step = part.start - last[-1] if len(last) == 1 else last.step
    if len(part) > 1 and len(last) > 1 and part.step != last.step:
        return None
    if len(part) > 1:
        step = part.step
    if step < 1 or (part.start - last[-1] != step and part.start not in last):
        return None
    return range(last.start, max(last[-1], part[-1]) + 1, step)
