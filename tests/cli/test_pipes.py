"""Standard input and output in the place of files, and examples that do not hold."""

import io
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from PIL import Image

from rasterc.api import load
from rasterc.output.code.write import KINDS

SHARED = Path(__file__).parents[2] / "shared"
BEST = SHARED / "messages" / "best-before.rasterc"
AT = ("--at", "2027-11-25 14:05")
PROGRAM = Path(sys.executable).with_name("rasterc")
TEXT = BEST.read_bytes()
BAD = TEXT.replace(b"NOV 2028", b"NOV 2027")


def rasterc(*arguments, code=0, input=TEXT, cwd=None):
    """The bytes the program writes on standard output, and what it says on standard error."""
    done = subprocess.run(
        [PROGRAM, *map(str, arguments)], capture_output=True, timeout=600, input=input, cwd=cwd,
        env={**os.environ, "PYTHONUTF8": "1"},
    )  # fmt: skip
    complained = done.stderr.decode()
    assert done.returncode == code, complained
    assert "Traceback" not in complained
    return done.stdout, complained


@pytest.mark.parametrize("kind", KINDS)
def test_a_file_may_be_standard_output(kind, tmp_path):
    written = tmp_path / f"code.{kind}"
    rasterc("compile", BEST, *AT, "--out", written)
    piped, complained = rasterc("compile", "-", *AT, "--out", "-", "--format", kind)
    assert piped == written.read_bytes()
    assert complained == ""


def test_a_picture_of_show_may_be_standard_output():
    picture, _ = rasterc("show", "-", *AT, "--out", "-", "--format", "png")
    assert Image.open(io.BytesIO(picture)).format == "PNG"


def test_a_format_wins_over_a_suffix(tmp_path):
    out = tmp_path / "code.txt"
    rasterc("compile", BEST, *AT, "--out", out, "--format", "pbm")
    assert out.read_bytes().startswith(b"P4")


@pytest.mark.parametrize("command", ["show", "compile"])
@pytest.mark.parametrize(
    "options",
    [
        ("--out", "-"),  # nothing tells the kind
        ("--out", "-", "--format", "jpeg"),
        ("--format", "svg"),  # and nowhere to write it
        ("--out", "-", "--format", "svg", "--json"),
    ],
)
def test_what_cannot_be_meant_is_refused(command, options):
    said, complained = rasterc(command, BEST, *AT, *options, code=2)
    assert b"help" in said + complained.encode()


@pytest.mark.parametrize(
    "arguments",
    [
        ("extremes", "-", "--from", "2027-01-01", "--years", "1", "--measure", "longest"),
        ("repeats", "-", "--from", "2027-01-01", "--years", "2"),
        ("trace", "-", "--from", "2027-11-25", "--years", "1", "--line", "*", "--line",
         "L27329B 14:05 0042"),
        ("diff", "-", BEST, "--from", "2027-01-01", "--years", "1"),
        ("diff", BEST, "-", "--from", "2027-01-01", "--years", "1"),
        ("reading", "-", *AT),
    ],
    ids=lambda arguments: " ".join(map(str, arguments[:2])),
)  # fmt: skip
def test_a_message_may_be_standard_input(arguments):
    said, _ = rasterc(*arguments)
    assert b"elderflower" in said


def test_standard_input_is_called_so_and_read_once():
    _, complained = rasterc("show", "-", *AT, input=b"message", code=2)
    assert complained.startswith("<stdin>:1:")
    _, complained = rasterc("show", "-", "--message", "other", *AT, code=2)
    assert "<stdin>" in complained
    _, complained = rasterc("diff", "-", "-", code=2)
    assert "standard input" in complained


@pytest.mark.parametrize("command", ["show", "compile"])
def test_an_example_that_does_not_hold_is_warned_of(command, tmp_path):
    said, complained = rasterc(command, "-", *AT, input=BAD)
    assert said
    assert "warning[expect]" in complained
    assert 'expected "BEST BEFORE END NOV 2027"' in complained
    out = tmp_path / "code.svg"
    _, complained = rasterc(command, "-", *AT, "--strict", "--out", out, input=BAD, code=1)
    assert "error[expect]" in complained
    assert not out.exists()
    said, _ = rasterc(command, "-", *AT, "--strict", "--json", input=BAD, code=1)
    assert json.loads(said)["diagnostics"][0]["code"] == "expect"
    _, complained = rasterc(command, "-", *AT, "--strict")
    assert "expect" not in complained


def test_the_examples_of_the_plant_hold():
    assert load(BEST).message.expects
