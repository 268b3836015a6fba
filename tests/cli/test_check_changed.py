"""`rasterc check --changed REV`: what a change that git knows of touches, and nothing else."""

import json
import os
import shutil
import subprocess
from pathlib import Path

import pytest

from tests.cli.conftest import GOOD

AT = ("--at", "2027-11-25 14:05")
FONTS = Path(__file__).parents[2] / "fonts-demo"
IDENTITY = {
    "GIT_AUTHOR_NAME": "a", "GIT_AUTHOR_EMAIL": "a@example.org", "GIT_COMMITTER_NAME": "a",
    "GIT_COMMITTER_EMAIL": "a@example.org", "GIT_CONFIG_GLOBAL": os.devnull,
    "GIT_CONFIG_SYSTEM": os.devnull,
}  # fmt: skip
USING = 'use "common/letters.rasterc"\n' + GOOD.replace('"LOT 7"', 'picture "drop.pbm"').replace(
    "line: picture", "picture"
)


def git(folder, *words):
    subprocess.run(["git", *words], cwd=folder, check=True, capture_output=True,
                   env={**os.environ, **IDENTITY})  # fmt: skip


@pytest.fixture
def checkout(mill, monkeypatch):
    """The mill in a checkout; one more message uses a file and a picture."""
    for name, value in IDENTITY.items():
        monkeypatch.setenv(name, value)
    below = mill / "messages"
    (below / "common").mkdir()
    (below / "common" / "letters.rasterc").write_text("counter spare from 1 to 9\n")
    (below / "drop.pbm").write_text("P1\n2 2\n1 0\n0 1\n")
    (below / "uses.rasterc").write_text(USING.format("uses"))
    (mill / ".gitignore").write_text("kept/\n")
    git(mill, "init", "-q", "-b", "main")
    git(mill, "add", ".")
    git(mill, "commit", "-q", "-m", "first")
    return mill


def looked_at(program, *arguments, **env):
    """The message and the line of all that was checked."""
    document = json.loads(program("check", *AT, "--json", *arguments, code=None, **env).out)
    assert {one["code"] for one in document["diagnostics"]} <= {"only-changed"}
    return sorted({(one["message"], one["line"]) for one in document["messages"]})


def append(path, text="\n"):
    path.write_text(path.read_text() + text)


USES = [("uses", "fast"), ("uses", "slow")]
FAST = [(name, "fast") for name in ("good", "spare", "uses")]
CHANGES = {
    "nothing": (lambda at: None, []),
    "a message": (lambda at: append(at("messages/lot.rasterc")), [("lot", "slow")]),
    "a used file": (lambda at: append(at("messages/common/letters.rasterc")), USES),
    "a used file that is gone": (lambda at: at("messages/drop.pbm").unlink(), []),
    "a picture": (lambda at: at("messages/drop.pbm").write_text("P1\n1 1\n1\n"), USES),
    "a profile": (lambda at: append(at("fast.toml")), FAST),
    "a new message": (lambda at: at("messages/n.rasterc").write_text(GOOD.format("n")),
                      [("n", "fast"), ("n", "slow")]),
    "a file of nobody": (lambda at: at("README").write_text("hello"), []),
    "what git is told to leave": (lambda at: at("kept").mkdir(exist_ok=True), []),
}  # fmt: skip


@pytest.mark.parametrize("what", CHANGES)
@pytest.mark.parametrize("known", [False, True])
def test_what_a_change_touches_is_looked_at(program, checkout, what, known):
    """Whether earlier verdicts are known or not."""
    change, wanted = CHANGES[what]
    env = {"RASTERC_CACHE": str(checkout / "kept")} if known else {}
    if known:
        program("check", *AT, code=1, **env)
    change(checkout.joinpath)
    if what == "a used file that is gone":
        said = program("check", *AT, "--changed", "HEAD", code=2, **env).said
        assert "the change touches 2 of 7 runs" in said
        assert "drop.pbm" in said
        return
    assert looked_at(program, "--changed", "HEAD", **env) == wanted


def test_a_font_that_takes_the_place_of_another_touches_all_that_use_it(program, checkout):
    (checkout / "messages" / "fonts").mkdir()
    shutil.copy(FONTS / "upright-7.bdf", checkout / "messages" / "fonts")
    touched = looked_at(program, "--changed", "HEAD")
    assert {name for name, _ in touched} == {"good", "spare", "lot"}  # the other has a picture only


def test_a_plant_file_touches_all(program, checkout):
    append(checkout / "plant.toml", "# changed\n")
    assert len(looked_at(program, "--changed", "HEAD")) == 7


def test_what_is_committed_counts_from_the_revision_that_is_named(program, checkout):
    append(checkout / "messages" / "lot.rasterc")
    git(checkout, "commit", "-qam", "second")
    assert looked_at(program, "--changed", "HEAD") == []
    assert looked_at(program, "--changed", "HEAD~1") == [("lot", "slow")]
    assert looked_at(program, "messages", "--changed", "HEAD~1") == [("lot", None)]


def test_it_is_said_what_was_left_out(program, checkout):
    said, noted = program("check", *AT, "--changed", "HEAD").both
    assert said == ""
    assert "note[only-changed]: the change touches 0 of 7 runs" in noted


@pytest.mark.parametrize("revision", ["nothing", "--output=x", "-h", "HEAD:fast.toml", ""])
def test_what_is_no_revision_is_refused(program, checkout, revision):
    said = program("check", *AT, f"--changed={revision}", code=2).said
    assert "error[unknown-revision]" in said
    assert not (checkout / "x").exists()


def test_outside_a_checkout_and_without_git(program, mill, monkeypatch, tmp_path_factory):
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(mill.parent))
    assert "error[no-checkout]" in program("check", *AT, "--changed", "HEAD", code=2).said
    empty = str(tmp_path_factory.mktemp("empty"))
    assert "error[no-git]" in program("check", *AT, "--changed", "HEAD", code=2, PATH=empty).said


def test_nothing_of_the_repository_is_run(program, checkout):
    """Settings of a checkout can name programs: none of them is started."""
    script = checkout / "kept-out"
    script.write_text(f"#!/bin/sh\ntouch {checkout / 'was-run'}\nexit 1\n")
    script.chmod(0o755)
    for name in ("core.fsmonitor", "diff.external", "core.pager"):
        git(checkout, "config", name, str(script))
    append(checkout / "messages" / "lot.rasterc")
    assert looked_at(program, "--changed", "HEAD") == [("lot", "slow")]
    assert not (checkout / "was-run").exists()
