"""Is a counter printed whole?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.alphabets import printed_fields
from rasterc.values.fields.kinds import CounterText
from rasterc.values.fields.options import First, Last
from rasterc.values.fields.options import Part as Cut
from rasterc.values.given.counters import widest

_NO = 'counter case from 1 to 99999\nblock {{ line: "NO " case(00000{}) }}'


class CounterCut(Rule):
    """A counter cut to some of its digits."""

    id = "counter-cut"
    title = "A counter is cut to some of its digits"
    rationale = (
        "42, 142 and 242 print the same when only the last two digits are left: numbers come again "
        "after a hundred products, and nothing in the declaration shows it. A counter that is to "
        "wrap says so: from 0 to 99, at end wrap. Quiet where another field prints the rest."
    )
    source = "arithmetic: two values print the same characters"
    trips = example(_NO.format(", last 2"))
    passes = example(_NO.format(""))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every counter that no field prints whole."""
        kept: dict[str, set[int]] = {}
        fields = [f for _, f in printed_fields(subject) if isinstance(f.source, CounterText)]
        for field in fields:
            assert isinstance(field.source, CounterText)
            width = max(field.source.width, widest(field.source.counter))
            kept.setdefault(field.name, set()).update(_kept(field.options, width))
        for field in {field.name: field for field in fields}.values():
            assert isinstance(field.source, CounterText)
            width = widest(field.source.counter)
            lost = set(range(width)) - kept[field.name]
            if lost:
                yield self.finding(
                    subject,
                    f"counter {field.name} has up to {width} characters, of which "
                    f"{width - len(lost)} are printed: other values print the same",
                    field.span,
                    "print it whole, or let it take fewer values and say what happens at its end",
                )


def _kept(options: tuple[object, ...], width: int) -> set[int]:
    """The places that options leave, counted from the last."""
    places = list(reversed(range(width)))
    for option in options:
        match option:
            case First(count):
                places = places[:count]
            case Last(count):
                places = places[-count:]
            case Cut(first, last):
                places = places[first - 1 : last]
    return set(places)
