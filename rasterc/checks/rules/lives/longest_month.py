"""Does the code fit in every month?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import EXAMPLE_PROFILE, Example, Finding, Rule, Subject
from rasterc.checks.pace import timings

_NARROW = EXAMPLE_PROFILE.replace("window_mm = 70", "window_mm = 57")


_MONTH = """
message example {{
  raster 7
  font upright-7
  clock packed in "Europe/Dublin"
  clock best = packed + 8 months to month end
  block {{ line: "BEST BEFORE END " best({month} yyyy, upper) }}
  expect at 2027-01-31 08:00 {{ "BEST BEFORE END {september} 2027" }}
}}
"""


class LongestMonth(Rule):
    """Length over a whole year: month and weekday names differ in length."""

    id = "longest-month"
    title = "In another month the code is longer than its window"
    needs_profile = True
    rationale = (
        "Names of months and weekdays differ in length, in each language differently. A code that "
        "fits in May may run past its window in September. The code is laid out at "
        "moments of a whole year, every month, weekday and hour among them."
    )
    source = "geometry"
    trips = Example(_MONTH.format(month="MMMM", september="SEPTEMBER"), _NARROW, "2027-05-10 08:00")
    passes = Example(_MONTH.format(month="MMM", september="SEP"), _NARROW, "2027-05-10 08:00")

    def proof(self, subject: Subject) -> tuple[str, ...] | None:
        """Known of all values by their extremes."""
        del subject
        return ("longest",)

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield one finding, for the moment of the year at which the code is longest."""
        window = subject.profile.line.print_window_mm if subject.profile else None
        own = _length_mm(subject)
        if window is None or subject.layout is None or own > window:
            return  # if it is too long now, print-window says so
        lengths = [(_length_mm(other), other) for other in subject.year.prints]
        longest, other = max(lengths, key=lambda pair: pair[0], default=(0.0, subject))
        if longest <= window:
            return
        texts = " / ".join(other.resolved.lines)
        yield self.finding(
            other,
            f'with "{texts}" the code is {longest:.1f} mm long; the window is {window:g} mm',
            subject.message.span,
            f"shorten it by {longest - window:.1f} mm: abbreviate the name (MMM, EEE), set the "
            "date in numbers, or use a narrower font",
            measured=longest,
            limit=window,
            unit="mm",
        )


def _length_mm(subject: Subject) -> float:
    return max((t.length_mm for t in timings(subject)), default=0.0)
