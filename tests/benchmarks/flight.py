"""Flight against scipy's DOP853, whole messages, and growth with drops and patterns.

Run: python tests/benchmarks/flight.py [numpy]. All figures are processor time of one run of one
process, so their ratios hold on any machine; best of several tries for our side, one for the peer.
With "numpy" everything flies without the compiled loops.
"""

from __future__ import annotations

import os
import runpy
import sys
from pathlib import Path
from tempfile import TemporaryDirectory
from time import process_time

import numpy as np
from stopwatch import best_s

from rasterc.api import load_text
from rasterc.checks.flown import job_of
from rasterc.head.compiled import flown_by
from rasterc.head.flight import fly
from rasterc.head.model import HeadModel, head_model
from rasterc.head.plan import plan_strokes
from rasterc.head.table import solve_band
from rasterc.head.wake import WAKE_BAND
from rasterc.profile.load import load_profile
from rasterc.profile.model import LineProfile
from rasterc.sweep.grid import Grid
from rasterc.sweep.inspection import _inspect, inspect
from rasterc.sweep.model import Job
from rasterc.sweep.run import run_cases

TESTS = Path(__file__).parent.parent
HEADS = TESTS.parent / "shared" / "heads"
PEER_PATTERNS = 3
TRIES = 3


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


def first_flight(head: HeadModel) -> None:
    """What the first flight of a process waits for: numba, and its machine code."""
    start = process_time()
    fly(head, np.zeros(3))
    print(f"the first flight of this process, by {flown_by()}: {process_time() - start:.2f} s")


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
        seconds = best_s(
            lambda p=plan: solve_band(head, p, profile.flight.wake), TRIES, clock=process_time
        )
        found = solve_band(head, plan, profile.flight.wake)
        worst = np.concatenate([one.residual_m for one in found])
        print(
            f"{name}, under 3 wakes: {seconds:.2f} s; the search left "
            f"{np.quantile(worst, 0.95) * 1e6:.2f} um in 95 % of strokes, {worst.max() * 1e6:.2f} "
            f"in the worst"
        )


def studies(head_name: str) -> None:
    """A map of 40 points of 20 characters, charges fixed and solved; and a message of `check`."""
    profile = load_profile(HEADS / f"head-{head_name}.toml")
    job = _job(profile, "BEST BEFORE 27.11.27")
    speeds = np.linspace(0.6, 1.4, 5) * job.speed_m_s
    throws = np.linspace(0.7, 1.3, 8) * job.throw_mm
    cases = Grid(tuple(speeds.tolist()), tuple(throws.tolist())).cases()
    start = process_time()
    run_cases(job, cases)
    seconds = process_time() - start
    print(f"map of 40 points, {len(cases)} flights of 20 characters: {seconds:.1f} s of processor")
    with TemporaryDirectory() as folder:
        os.environ["RASTERC_CACHE"] = folder
        for _ in range(2):
            for text in ("EXP 05/28 LOT 0135", "BEST BEFORE 27.11.27"):
                _inspect.cache_clear()
                start = process_time()
                inspect(_job(profile, text))
                print(f'flights of check, "{text}": {process_time() - start:.2f} s')
        os.environ["RASTERC_CACHE"] = "off"


def _job(profile: LineProfile, text: str) -> Job:
    """The job of flying a text in the profile's raster of 7 drops."""
    source = f'message m {{ raster 7 font upright-7 block {{ line: "{text}" }} }}'
    job = job_of(load_text(source).resolve().subject(profile))
    assert job is not None
    return job


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
    os.environ["RASTERC_CACHE"] = "off"
    if "numpy" in sys.argv:
        os.environ["NUMBA_DISABLE_JIT"] = "1"
    head = head_model(load_profile(HEADS / "head-fine.toml"))
    first_flight(head)
    against_dop853(head)
    messages("middle")
    studies("middle")
    growth(head)


if __name__ == "__main__":
    main()
