"""How the time for `extremes` and `repeats` grows with the years and the digits of a counter.

Run it by hand: ``python tests/benchmarks/extremes.py``. Times are processor times of the best of
several runs, after everything has been imported and loaded. Below the table stands the naive way,
every value resolved and laid out, timed on a part and told for the whole.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta

from stopwatch import best_s

from rasterc.api import Code, load_text
from rasterc.extremes.repeats import repeats
from rasterc.extremes.report import extremes
from rasterc.layout import compile_strokes, lay_out
from rasterc.values import Instant

MESSAGE = """
message shoulder {{ raster 16 font upright-7
  clock packed in "Europe/Dublin", day from 06:00
  clock best = packed + 9 months to month end
  shift crew of packed {{ "A" from 06:00  "B" from 14:00  "C" from 22:00 }}
  counter case from 0 to {last}, restart daily of packed, at end stop
  block {{
    line: "BEST BEFORE END " best(MMM yyyy, upper)
    line: "L" packed(yyDDD) crew " " packed(HH:mm) " " case({zeros})
  }}
}}
"""
START = date(2027, 1, 1)
YEARS = (1, 10, 100)
DIGITS = (3, 6, 9, 12)


def main() -> None:
    """Print the tables."""
    print("extremes, all measures, ms by years and counter digits")
    print(f"{'years':>8}" + "".join(f"{digits:>8}" for digits in DIGITS))
    took: dict[tuple[int, int], float] = {}
    for years in YEARS:
        for digits in DIGITS:
            code = code_of(digits)
            took[years, digits] = best_ms(lambda c=code, y=years: run(c, y))
        print(f"{years:>8}" + "".join(f"{took[years, digits]:>8.1f}" for digits in DIGITS))
    print(f"ten times the years: x{took[100, 6] / took[10, 6]:.2f}")
    print(f"12 digits for 3: x{took[10, 12] / took[10, 3]:.2f}")
    naive(code_of(6), took[10, 6])
    code = code_of(6)
    print(f"repeats over 120 years: {best_ms(lambda: repeats(code.plan, START)):.1f} ms")


def code_of(digits: int) -> Code:
    """The message with so many digits."""
    return load_text(MESSAGE.format(last="9" * digits, zeros="0" * digits))


def run(code: Code, years: int) -> object:
    """All extremes."""
    return extremes(code.plan, code.fonts, START, years, composer=code.composer)


def best_ms(work: Callable[[], object]) -> float:
    """Processor time of the quickest run, the first left out, in ms."""
    work()
    return best_s(work, clock=time.process_time) * 1000


def naive(code: Code, clever_ms: float) -> None:
    """Time the naive way on a part, and tell it for ten years and six digits."""
    start, count = time.process_time(), 0
    at = datetime(2027, 1, 1, tzinfo=UTC)
    for minute in range(0, 1440, 10):
        for value in range(10):
            instant = Instant(at + timedelta(minutes=minute), {"case": value})
            layout = lay_out(code.plan.resolve(instant), code.fonts, code.composer)
            compile_strokes(layout)
            count += 1
    each = (time.process_time() - start) / count
    values = (date(2037, 1, 1) - START).days * 1440 * 10**6
    years = values * each / 86400 / 365.25
    print(
        f"every value one by one: {each * 1e6:.0f} us each, {values:.3g} values: {years:.3g} years"
    )
    print(f"that is {values * each * 1000 / clever_ms:.2g} times as long")


if __name__ == "__main__":
    main()
