"""Sets of counter values, told by what is known of their digits.

A digit box says for each place, the lowest first, which digits may stand there (None is any);
places beyond it are zero. The values of a counter in a box are found from the highest place down,
leaving out every stretch the counter does not meet.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import islice, zip_longest

from rasterc.source.declarations import Counter
from rasterc.tracing.templates import Template
from rasterc.values.given.counters import widest

Places = frozenset[int] | None
DigitBox = tuple[Places, ...]

MAX_RANGES = 1000
_ZERO = frozenset({0})


@dataclass(frozen=True, slots=True)
class CounterSet:
    """Values of a counter that are in ``boxes``, and among ``listed`` unless that is None."""

    counter: Counter
    boxes: tuple[DigitBox, ...]
    listed: frozenset[int] | None = None

    def meet(self, other: CounterSet) -> CounterSet:
        """The values in both sets."""
        pairs = (_meet(a, b) for a in self.boxes for b in other.boxes)
        boxes = tuple(dict.fromkeys(box for box in pairs if box is not None))
        both = [values for values in (self.listed, other.listed) if values is not None]
        return CounterSet(self.counter, boxes, frozenset.intersection(*both) if both else None)

    def ranges(self) -> Iterator[range]:
        """The values, in ascending order as far as they come from one box."""
        base = len(self.counter.digits)
        if self.listed is not None:
            held = (v for v in sorted(self.listed) if any(_holds(b, v, base) for b in self.boxes))
            yield from (range(value, value + 1) for value in held)
            return
        for box in self.boxes:
            yield from _Search(self.counter, box).ranges()

    def is_empty(self) -> bool:
        """Whether the counter never prints a value of the set."""
        return next(self.ranges(), None) is None

    def values(self, limit: int) -> list[int] | None:
        """The values in ascending order; None when there are more than ``limit``."""
        found = set(
            islice((v for part in self.ranges() for v in part), limit * len(self.boxes) + 1)
        )
        return sorted(found) if len(found) <= limit else None


def whole(counter: Counter) -> CounterSet:
    """Every value of a counter."""
    return CounterSet(counter, ((None,) * widest(counter),))


def listed(counter: Counter, values: Iterable[int]) -> CounterSet:
    """These values of a counter."""
    return CounterSet(counter, whole(counter).boxes, frozenset(values))


def boxes_of(counter: Counter, template: Template, width: int, fill: str) -> Iterator[DigitBox]:
    """The digits of values whose text, filled up on the left to ``width``, fits a template."""
    size = len(template)
    zeros = fill == counter.digits[0]
    digits = tuple(_digits(place, counter) for place in reversed(template))
    for number in range(1, widest(counter) + 1):
        if max(number, width) != size:
            continue
        if any(place is not None and fill not in place for place in template[: size - number]):
            continue
        if zeros and size == width and number < min(size, widest(counter)):
            continue  # the widest number has room for the leading zeros of all others
        box = digits[:number]
        if number > 1 and not (zeros and size == width):
            top = box[-1] if box[-1] is not None else frozenset(range(len(counter.digits)))
            box = (*box[:-1], top - _ZERO)
        if all(place is None or place for place in box):
            yield box


def _digits(place: frozenset[str] | None, counter: Counter) -> Places:
    if place is None:
        return None
    return frozenset(i for i, digit in enumerate(counter.digits) if digit in place)


def _meet(a: DigitBox, b: DigitBox) -> DigitBox | None:
    box: list[Places] = []
    for first, second in zip_longest(a, b, fillvalue=_ZERO):
        place = second if first is None else first if second is None else first & second
        if place is not None and not place:
            return None
        box.append(place)
    return tuple(box)


def _holds(box: DigitBox, value: int, base: int) -> bool:
    for place in box:
        value, digit = divmod(value, base)
        if place is not None and digit not in place:
            return False
    return value == 0


class _Search:
    """Finds the values of a counter in one box."""

    def __init__(self, counter: Counter, box: DigitBox) -> None:
        values = counter.values
        self.values = values if values.step > 0 else values[::-1]
        self.box, self.base = box, len(counter.digits)
        self.dead: set[tuple[int, int]] = set()  # places left, start modulo the step: none there

    def ranges(self) -> Iterator[range]:
        yield from self._below(len(self.box), 0)

    def _below(self, places: int, start: int) -> Iterator[range]:
        """The values from ``start`` whose lowest ``places`` digits are in the box."""
        size: int = self.base**places
        part = _between(self.values, start, start + size)
        if not part:
            return
        if all(place is None for place in self.box[:places]):
            yield part
            return
        key = (places, start % self.values.step)
        if key in self.dead:
            return
        found = False
        for digit in self._choices(places - 1):
            for below in self._below(places - 1, start + digit * (size // self.base)):
                found = True
                yield below
        if not found and self.values[0] <= start and start + size - 1 <= self.values[-1]:
            self.dead.add(key)

    def _choices(self, place: int) -> Iterable[int]:
        allowed = self.box[place]
        return range(self.base) if allowed is None else sorted(allowed)


def _between(values: range, start: int, end: int) -> range:
    """The part of an ascending range from ``start`` (included) to ``end``."""
    low = max(0, -((values.start - start) // values.step))
    high = max(low, -((values.start - end) // values.step))
    return values[low:high]


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
