"""A run that is killed at any point leaves a cache that the next one can trust."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from rasterc.cli.edge import run

SHARED = Path(__file__).parents[2] / "shared"
AT = ("--at", "2027-11-25 14:05")
MESSAGES = 12
TEXT = """message m{0} {{
  raster 7 font upright-7
  clock packed in "Europe/Dublin"
  counter spare from 1 to 9
  block {{ line: "LOT {0} " packed(dd/MM/yy) }}
}}
"""


@pytest.fixture
def plant(tmp_path, monkeypatch):
    lines = ['[[line]]\nname = "a"\nprofile = "p.toml"\n']
    for number in range(MESSAGES):
        (tmp_path / f"m{number}.rasterc").write_text(TEXT.format(number))
        lines.append(f'[[message]]\nfile = "m{number}.rasterc"\n')
    (tmp_path / "plant.toml").write_text("\n".join(lines))
    (tmp_path / "p.toml").write_bytes((SHARED / "profiles" / "dairy-9.toml").read_bytes())
    monkeypatch.chdir(tmp_path)
    return tmp_path


def killed_at(plant, kept, entries, workers):
    """Start a check, and kill it and all its processes when so many files are in the cache."""
    process = subprocess.Popen(
        [sys.executable, "-m", "rasterc", "check", *AT, "--workers", str(workers)],
        env={**os.environ, "RASTERC_CACHE": str(kept)},
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True,
    )  # fmt: skip
    while process.poll() is None and sum(1 for _ in kept.rglob("*.*")) < entries:
        time.sleep(0.001)
    if process.poll() is None:
        os.killpg(process.pid, signal.SIGKILL)
    process.wait()


def test_what_a_killed_run_left_is_no_other_than_what_is_found_anew(plant, monkeypatch, capfd):
    def said():
        assert run(["check", *AT, "--json"]) == 1
        return capfd.readouterr().out

    monkeypatch.setenv("RASTERC_CACHE", "off")
    alone = said()
    kept = plant / "kept"
    monkeypatch.setenv("RASTERC_CACHE", str(kept))
    for entries, workers in ((1, 1), (5, 2)):
        killed_at(plant, kept, entries, workers)
        whole = [path for path in kept.rglob("*.kept") if path.read_bytes()]
        assert whole  # what was done is not lost
    assert said() == alone
    monkeypatch.setattr("rasterc.inspection.looking.look_at", None)
    assert said() == alone
