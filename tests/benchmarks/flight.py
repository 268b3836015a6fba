"""Flight against scipy's DOP853, the 2^7 charge table, and growth with drops and patterns.

Run: python tests/benchmarks/flight.py. All figures come from one run of one process, so their
ratios hold on any machine; best of several tries for our side, one try for the slow peer.
"""

from __future__ import annotations

import runpy
from pathlib import Path
from time import perf_counter

import numpy as np
from stopwatch import best_s

from rasterc.head.flight import fly
from rasterc.head.model import WAKE_BAND, HeadModel, head_model
from rasterc.head.plan import Throw
from rasterc.head.solve import Neighbourhood, StrokeSolver
from rasterc.profile.load import load_profile

TESTS = Path(__file__).parent.parent
PEER_PATTERNS = 3


def seven_row_strokes(head: HeadModel, patterns: int, strokes: int = 3) -> np.ndarray:
    """Strokes of 7 rows, 9 slots apart: the middle one counts through all patterns."""
    drops = np.zeros((patterns, 9 * strokes))
    row_charges = np.linspace(0.06, 0.22, 7) * head.rayleigh_charge_c
    for start in range(0, 9 * strokes, 9):
        drops[:, start : start + 7] = row_charges
    middle = 9 * (strokes // 2)
    drops[:, middle : middle + 7] *= np.arange(patterns)[:, None] >> np.arange(7) & 1
    return drops


def against_dop853(head: HeadModel) -> None:
    """Time per pattern of 128 patterns, and of one alone, against the peer's."""
    landings = runpy.run_path(str(TESTS / "head" / "peer.py"))["landings"]
    drops = seven_row_strokes(head, 128)
    for wake in WAKE_BAND:
        start = perf_counter()
        chosen = np.linspace(127, 21, PEER_PATTERNS).astype(int)
        peer = [landings(head, drops[i], wake)[0] for i in chosen]
        peer_s = (perf_counter() - start) / PEER_PATTERNS
        ours = fly(head, drops, wake=wake).y_m
        off_um = max(np.abs(ours[i] - y).max() for i, y in zip(chosen, peer, strict=True)) * 1e6
        batch_s = best_s(lambda w=wake: fly(head, drops, wake=w), 3) / 128
        alone_s = best_s(lambda w=wake: fly(head, drops[127], wake=w), 3)
        print(
            f"wake {wake:4}: DOP853 {peer_s * 1e3:6.0f} ms a pattern; ours in 128 patterns "
            f"{batch_s * 1e3:5.2f} ms ({peer_s / batch_s:.0f}x), alone {alone_s * 1e3:4.0f} ms "
            f"({peer_s / alone_s:.0f}x); largest difference {off_um:.3f} um"
        )


def charge_table(head: HeadModel) -> None:
    """All 2^7 patterns of a stroke between two full ones, nothing known before."""
    throw = Throw(tuple(range(6, -1, -1)), stroke_gap_drops=2)
    near = [Neighbourhood(127, column, 127, 2, 2) for column in range(128)]
    found = StrokeSolver(head, throw).solve(near)
    seconds = best_s(lambda: StrokeSolver(head, throw).solve(near), 3)
    worst_um = max(one.residual_m for one in found.values()) * 1e6
    print(f"2^7 charge table: {seconds:.2f} s, all within {worst_um:.2f} um")


def growth(head: HeadModel) -> None:
    """Time of a flight as patterns and drops grow."""
    for patterns in (1, 8, 32, 128, 512):
        drops = seven_row_strokes(head, patterns)
        seconds = best_s(lambda d=drops: fly(head, d), 3)
        each = seconds / patterns * 1e3
        print(f"{patterns:4} patterns of 27 drops: {seconds * 1e3:6.0f} ms, {each:.2f} ms each")
    for strokes in (3, 9, 27, 81, 243):
        drops = seven_row_strokes(head, 1, strokes)
        seconds = best_s(lambda d=drops: fly(head, d), repeat=2)
        count = drops.shape[1]
        each = seconds / count * 1e3
        print(f"one pattern of {count:4} drops: {seconds * 1e3:6.0f} ms, {each:.2f} ms each")


def main() -> None:
    """Print every figure."""
    head = head_model(load_profile(TESTS.parent / "shared" / "heads" / "head-40.toml"))
    against_dop853(head)
    charge_table(head)
    growth(head)


if __name__ == "__main__":
    main()
