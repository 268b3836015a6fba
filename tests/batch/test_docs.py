"""The session and the program of docs/batch.md, run as written in a copy of the demo plant."""

import os
import re
import shutil
import subprocess
import sys
from itertools import pairwise
from pathlib import Path

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "batch.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"```(\w+)\n(.*?)```", PAGE, re.DOTALL)


def run(program: list[str], text: str, place: Path) -> str:
    folder = str(Path(sys.executable).parent)
    path = os.pathsep.join((folder, os.environ.get("PATH", "")))
    done = subprocess.run(
        program, input=text, cwd=place, capture_output=True, encoding="utf-8",
        env={**os.environ, "PATH": path, "PYTHONUTF8": "1", "COLUMNS": "80"},
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def test_the_page_is_true(tmp_path):
    shutil.copytree(ROOT / "shared", tmp_path / "shared")
    kinds = []
    for (kind, text), (_, shown) in pairwise(BLOCKS):
        if kind in ("sh", "python"):
            program = ["sh", "-e"] if kind == "sh" else [sys.executable, "-"]
            assert run(program, text, tmp_path) == shown
            kinds.append(kind)
    assert kinds == ["sh", "sh", "python"]
    row = (tmp_path / "night.csv").read_text().splitlines()[481].split(",")
    assert (row[0], row[2], row[4][:7]) == ("481", "1", '"L27330')
