"""The README's commands and programs, run as written, in a copy of the demo plant."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"```(\w+)\n(.*?)```", README, re.DOTALL)


def blocks(kind: str) -> list[str]:
    return [text for found, text in BLOCKS if found == kind]


def commands() -> list[str]:
    joined = "\n".join(blocks("sh")).replace("\\\n", " ")
    return [line for line in joined.splitlines() if line.startswith("rasterc ")]


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
        command, shell=True, cwd=place, capture_output=True, encoding="utf-8", timeout=600,
        env={**os.environ, "PATH": path, "PYTHONUTF8": "1", "COLUMNS": "80"},
    )  # fmt: skip


def test_the_readme_has_what_this_file_runs():
    assert len(commands()) >= 9
    assert len(blocks("python")) == 1


def test_every_command_works(place):
    for command in commands():
        done = run(command, place)
        assert done.returncode == 0, command + "\n" + done.stdout + done.stderr


def test_show_prints_the_texts_the_readme_shows(place):
    shown = next(text for text in blocks("text") if text.startswith("my-code at"))
    done = run(commands()[0], place)
    assert done.stdout.startswith(shown.removesuffix("...\n"))


def test_trace_prints_what_the_readme_shows(place):
    shown = next(text for text in blocks("text") if text.startswith("elderflower:"))
    done = run(next(c for c in commands() if c.startswith("rasterc trace")), place)
    assert done.stdout.startswith(shown.removesuffix("...\n"))


def test_the_python_program_prints_what_the_readme_shows(place):
    (place / "program.py").write_text(blocks("python")[0], encoding="utf-8")
    done = run("python program.py", place)
    assert done.returncode == 0, done.stderr
    assert done.stdout in blocks("text")


def test_the_finding_is_worded_as_the_readme_shows(place):
    profile = place / "shared/profiles/bottle-16.toml"
    fast = profile.read_text().replace("[0.6, 0.9]", "[2.5]")
    (place / "fast.toml").write_text(fast)
    (place / "plain").mkdir()
    (place / "plain" / "my-code.rasterc").write_text(blocks("rasterc")[0])
    done = run("cd plain && rasterc check my-code.rasterc --profile ../fast.toml", place)
    assert done.returncode == 1
    shown = next(text for text in blocks("text") if "stroke-rate" in text)
    for line in shown.splitlines():
        assert line in done.stdout


def test_the_first_paragraph_names_the_job_and_the_two_commands_follow():
    head = README[: README.index("## ")]
    assert (
        head.index("rasterc is for the people") < head.index("make demo") < head.index("make test")
    )


def test_every_link_leads_to_a_file():
    for link in re.findall(r"\]\(([^)#]+)\)", README):
        assert (ROOT / link).exists(), link
