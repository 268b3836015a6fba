"""What nothing changed must not wait for."""

import os
import subprocess
import sys
from pathlib import Path

SHARED = Path(__file__).parents[2] / "shared"
PROGRAM = """
import sys
from rasterc.cli.edge import run
code = run(["check", "--at", "2027-11-25 14:05"])
heavy = {"numpy", "lark", "rasterc.checks.registry", "rasterc.plant.load"}
print(code, *sorted(heavy.intersection(sys.modules)), file=sys.stderr)
"""


def test_numerics_rules_and_parser_are_not_loaded_when_nothing_changed(tmp_path):
    environment = {**os.environ, "RASTERC_CACHE": str(tmp_path)}
    said = [
        subprocess.run(
            [sys.executable, "-c", PROGRAM], cwd=SHARED, env=environment, check=True,
            capture_output=True, text=True,
        )
        for _ in range(2)
    ]  # fmt: skip
    assert said[0].stdout == said[1].stdout
    assert "rasterc.plant.load" in said[0].stderr
    assert said[1].stderr.split() == said[0].stderr.split()[:1]
