"""Tracing and comparing over ten years of minutes, beside resolving minutes one by one."""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

from stopwatch import best_s as best_of

import rasterc
from rasterc.tracing.diff import diff
from rasterc.tracing.differences import Side
from rasterc.tracing.given import Given
from rasterc.tracing.trace import trace

MESSAGE = Path(__file__).parents[2] / "shared" / "messages" / "best-before.rasterc"
START = datetime(2027, 1, 1, tzinfo=UTC)
MINUTES = 10 * 365 * 24 * 60


def best_s(work: Callable[[], object], repeat: int) -> float:
    """Processor time of the quickest run, in s."""
    return best_of(work, repeat, clock=time.process_time)


def main() -> None:
    """Print the table."""
    code = rasterc.load(MESSAGE)
    changed = rasterc.load_text(MESSAGE.read_text().replace("9 months", "10 months"))
    sample = [START + timedelta(minutes=37 * k) for k in range(2000)]
    each = best_s(lambda: [code.resolve(when).lines for when in sample], 3) / len(sample)
    lines = ["BEST BEFORE END AUG 2028", "L27329B 14:?5 0042"]
    unread = ["BEST BEFORE END ??? ????", "L?????? ??:?5 ????"]
    sides = [Side(one.plan, Given({}, {}), one.fonts) for one in (code, changed)]
    works: list[tuple[str, Callable[[], object]]] = [
        ("trace a print with one character unread", lambda: trace(code.plan, lines, START, 10)),
        ("trace a print with most of it unread", lambda: trace(code.plan, unread, START, 10)),
        ("diff two versions", lambda: diff(*sides, START, 10)),
    ]
    naive = each * MINUTES
    print("| work, ten years of minutes | s | every minute resolved, s (from 2,000) | ratio |")
    print("| --- | --- | --- | --- |")
    for name, work in works:
        took = best_s(work, 5)
        print(f"| {name} | {took:.3f} | {naive:.0f} | 1/{naive / took:.0f} |")


if __name__ == "__main__":
    main()
