"""Flight against scipy's DOP853, whole messages, and growth with drops and patterns.

Run: python tests/benchmarks/flight.py. All figures are processor time of one run of one
process, so their ratios hold on any machine; best of several tries for our side, one for the peer.
"""

from __future__ import annotations

import runpy
from pathlib import Path
from time import process_time

import numpy as np
from stopwatch import best_s

from rasterc.head.flight import fly
from rasterc.head.model import HeadModel, head_model
from rasterc.head.plan import plan_strokes
from rasterc.head.table import solve_band
from rasterc.head.wake import WAKE_BAND
from rasterc.profile.load import load_profile

TESTS = Path(__file__).parent.parent
HEADS = TESTS.parent / "shared" / "heads"
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
        start = process_time()
        chosen = np.linspace(127, 21, PEER_PATTERNS).astype(int)
        peer = [landings(head, drops[i], wake)[0] for i in chosen]
        peer_s = (process_time() - start) / PEER_PATTERNS
        ours = fly(head, drops, wake=wake).y_m
        off_um = max(np.abs(ours[i] - y).max() for i, y in zip(chosen, peer, strict=True)) * 1e6
        batch_s = best_s(lambda w=wake: fly(head, drops, wake=w), 3, clock=process_time) / 128
        alone_s = best_s(lambda w=wake: fly(head, drops[127], wake=w), 3, clock=process_time)
        print(
            f"wake {wake:4}: DOP853 {peer_s * 1e3:6.0f} ms a pattern; ours in 128 patterns "
            f"{batch_s * 1e3:5.2f} ms ({peer_s / batch_s:.0f}x), alone {alone_s * 1e3:4.0f} ms "
            f"({peer_s / alone_s:.0f}x); largest difference {off_um:.3f} um"
        )


def messages(head_name: str) -> None:
    """Whole messages solved and flown under all wakes, nothing known before."""
    profile = load_profile(HEADS / f"head-{head_name}.toml")
    head = head_model(profile)
    every = [column for one in range(128) for column in (127, one)]
    rng = np.random.default_rng(2)
    columns = (1 << np.arange(16)) @ (rng.random((16, 135)) < 0.35)
    for name, raster, strokes in (
        ("2^7 strokes, each after a full one", profile.raster(7), every),
        ("135 strokes of 16 drops", profile.raster(16), columns),
    ):
        plan = plan_strokes(profile, raster, strokes, max(profile.line.speeds_m_s))
        start = process_time()
        found = solve_band(head, plan, profile.flight.wake)
        seconds = process_time() - start
        worst = max(float(one.residual_m.max()) for one in found) * 1e6
        print(f"{name}, under 3 wakes: {seconds:.2f} s of processor, left {worst:.2f} um")


def growth(head: HeadModel) -> None:
    """Time of a flight as patterns and drops grow."""
    for patterns in (1, 8, 32, 128, 512):
        drops = seven_row_strokes(head, patterns)
        seconds = best_s(lambda d=drops: fly(head, d), 3, clock=process_time)
        each = seconds / patterns * 1e3
        print(f"{patterns:4} patterns of 27 drops: {seconds * 1e3:6.0f} ms, {each:.2f} ms each")
    for strokes in (3, 9, 27, 81, 243):
        drops = seven_row_strokes(head, 1, strokes)
        seconds = best_s(lambda d=drops: fly(head, d), 2, clock=process_time)
        count = drops.shape[1]
        each = seconds / count * 1e3
        print(f"one pattern of {count:4} drops: {seconds * 1e3:6.0f} ms, {each:.2f} ms each")


def main() -> None:
    """Print every figure."""
    head = head_model(load_profile(HEADS / "head-fine.toml"))
    against_dop853(head)
    messages("middle")
    growth(head)


if __name__ == "__main__":
    main()
