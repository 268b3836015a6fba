"""The session and the program of docs/ledger.md, run as written in a copy of the demo plant."""

import os
import re
import shutil
import subprocess
import sys
from itertools import pairwise
from pathlib import Path

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "ledger.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"```(\w+)\n(.*?)```", PAGE, re.DOTALL)


def plain(text: str) -> str:
    """Without the moments at which entries were written, and without hashes."""
    text = re.sub(r"\d{4}-\d\d-\d\dT\d\d:\d\dZ", "NOW", text)
    return re.sub(r"head [0-9a-f]{16}", "head ...", text)


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
    (tmp_path / "elsewhere").mkdir()
    session = "set -e\n" + "echo ----\n".join(text for kind, text in BLOCKS if kind == "sh")
    shown = [then for (kind, _), (_, then) in pairwise(BLOCKS) if kind == "sh"]
    printed = run(["sh"], session, tmp_path).split("----\n")
    assert list(map(plain, printed)) == list(map(plain, shown))
    for (kind, program), (_, then) in pairwise(BLOCKS):
        if kind == "python":
            assert run([sys.executable, "-"], program, tmp_path) == then
