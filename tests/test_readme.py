"""The README's commands and programs, run as written, in a copy of the demo plant."""

import os
import re
import shutil
import subprocess
import sys
from itertools import pairwise
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"```(\w+)\n(.*?)```", README, re.DOTALL)


PAIRS = list(pairwise(BLOCKS))
"""Each block and the one behind it: a text behind commands or a program is what they print."""


def blocks(kind: str) -> list[str]:
    return [text for found, text in BLOCKS if found == kind]


def commands_in(block: str) -> list[str]:
    lines = block.replace("\\\n", " ").splitlines()
    return [line for line in lines if line.startswith("rasterc ")]


@pytest.fixture(scope="module")
def place(tmp_path_factory) -> Path:
    """A folder with the demo plant and the message the README builds up."""
    folder = tmp_path_factory.mktemp("readme")
    shutil.copytree(ROOT / "shared", folder / "shared")
    message, contract = blocks("rasterc")
    body, brace, _ = message.rpartition("}")
    (folder / "my-code.rasterc").write_text(body + contract + brace + "\n", encoding="utf-8")
    return folder


def run(command: str, place: Path) -> subprocess.CompletedProcess[str]:
    folder = str(Path(sys.executable).parent)
    path = os.pathsep.join((folder, os.environ.get("PATH", "")))
    return subprocess.run(
        command, shell=True, cwd=place, capture_output=True, encoding="utf-8",
        env={**os.environ, "PATH": path, "PYTHONUTF8": "1", "COLUMNS": "80"},
    )  # fmt: skip


def assert_shown(printed: str, shown: str) -> None:
    """``shown`` stands in what was printed; a line of dots at its end stands for the rest."""
    assert shown.removesuffix("...\n") in printed


def test_the_readme_has_what_this_file_runs():
    assert sum(len(commands_in(block)) for block in blocks("sh")) >= 9
    assert len(blocks("python")) == 2
    assert len(blocks("text")) == sum(
        first in ("sh", "python") and then == "text" for (first, _), (then, _) in PAIRS
    )


def test_every_command_works_and_prints_what_is_shown(place):
    """All in order, each once: some of them take long, and some read what others wrote."""
    for (kind, block), (next_kind, shown) in PAIRS:
        if kind != "sh":
            continue
        printed = ""
        for command in commands_in(block):
            done = run(command, place)
            found = next_kind == "text" and "error[" in shown
            assert done.returncode == int(found), command + "\n" + done.stdout + done.stderr
            printed += done.stdout
        if next_kind == "text":
            assert_shown(printed, shown)


def test_every_program_prints_what_is_shown(place):
    for (kind, program), (_, shown) in PAIRS:
        if kind == "python":
            (place / "program.py").write_text(program, encoding="utf-8")
            done = run("python program.py", place)
            assert done.returncode == 0, done.stderr
            assert done.stdout == shown


def test_the_first_paragraph_names_the_job_and_the_two_commands_follow():
    head = README[: README.index("## ")]
    assert (
        head.index("rasterc is for the people") < head.index("make demo") < head.index("make test")
    )


def test_every_link_leads_to_a_file():
    for link in re.findall(r"\]\(([^)#]+)\)", README):
        assert (ROOT / link).exists(), link
