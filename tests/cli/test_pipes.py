"""Standard input and output in the place of files, and examples that do not hold."""

import io
import json
from pathlib import Path

import pytest
from PIL import Image

from rasterc.api import load
from rasterc.fonts.load import load_font
from rasterc.output.code.kinds import KINDS

SHARED = Path(__file__).parents[2] / "shared"
FONTS = Path(__file__).parents[2] / "fonts-demo"
BEST = SHARED / "messages" / "best-before.rasterc"
HEAD = SHARED / "heads" / "head-middle.toml"
AT = ("--at", "2027-11-25 14:05")
TEXT = BEST.read_bytes()
BAD = TEXT.replace(b"NOV 2028", b"NOV 2027")


@pytest.mark.parametrize("kind", KINDS)
def test_a_file_may_be_standard_output(program, kind, tmp_path):
    written = tmp_path / f"code.{kind}"
    program("compile", BEST, *AT, "--out", written)
    piped = program("compile", "-", *AT, "--out", "-", "--format", kind, input=TEXT)
    assert piped.raw == written.read_bytes()
    assert piped.said == ""


def test_a_picture_of_show_may_be_standard_output(program):
    picture = program("show", "-", *AT, "--out", "-", "--format", "png", input=TEXT)
    assert Image.open(io.BytesIO(picture.raw)).format == "PNG"


@pytest.mark.parametrize(
    ("arguments", "kinds"),
    [
        (["fly", "mark.rasterc", "--profile", HEAD], ["png", "svg", "csv", "json"]),
        (["jet", HEAD], ["csv", "json"]),
        (["font", "export", "upright-5"], ["bdf", "txt", "png"]),
        (["font", "import", "-"], ["bdf", "txt"]),
    ],
    ids=lambda given: " ".join(map(str, given[:2])),
)
def test_standard_output_is_not_written_without_a_kind(
    program, tmp_path, monkeypatch, arguments, kinds
):
    monkeypatch.chdir(tmp_path)
    Path("mark.rasterc").write_text('message m { raster 7 font upright-7 block { line: "1" } }')
    ended = program(*arguments, "--out", "-", code=2)
    assert ended.out == ""
    for kind in kinds:
        assert f".{kind}" in ended.said
    assert [path.name for path in tmp_path.iterdir()] == ["mark.rasterc"]


def test_the_picture_of_a_difference_may_be_standard_output(program, tmp_path):
    given = ["diff", BEST, "-", "--from", "2027-01-01", "--years", 1]
    changed = TEXT.replace(b"9 months", b"10 months")
    program(*given, "--out", tmp_path / "both.png", input=changed, code=1)
    piped = program(*given, "--out", "-", input=changed, code=1)
    assert piped.raw == (tmp_path / "both.png").read_bytes()
    assert piped.said == ""
    assert "two-choices" in program(*given, "--out", "-", "--json", input=changed, code=2).out


def test_a_picture_that_cannot_be_is_refused_before_the_work(program, tmp_path, monkeypatch):
    def never(*given, **options):
        raise AssertionError("it was begun")

    monkeypatch.setattr("rasterc.tracing.diff.diff", never)
    two = tmp_path / "two.rasterc"
    one = 'message {} {{ raster 7 font upright-7 block {{ line: "A" }} }}\n'
    two.write_text(one.format("a") + one.format("b"))
    assert ".png" in program("diff", BEST, BEST, "--out", "x.svg", code=2).said
    assert "--message: a, b" in program("diff", two, two, "--out", "x.png", code=2).said


@pytest.mark.parametrize(
    ("arguments", "kinds"),
    [
        (("fly", "-", "--profile", HEAD), ("csv", "svg")),
        (("jet", HEAD), ("csv",)),
        (("font", "export", "upright-5"), ("bdf", "txt", "png")),
        (("font", "import", FONTS / "upright-5.bdf"), ("bdf", "txt")),
    ],
    ids=lambda given: " ".join(map(str, given[:2])),
)
def test_format_says_the_kind_of_standard_output(program, tmp_path, arguments, kinds):
    mark = 'message m { raster 9 font upright-9 block { line: "1" } }'
    for kind in kinds:
        out = tmp_path / f"upright-5.{kind}"
        program(*arguments, "--out", out, input=mark, code=None)
        piped = program(*arguments, "--out", "-", "--format", kind, input=mark, code=None)
        assert piped.raw == out.read_bytes()
        wrong = (*arguments, "--format", kind)
        assert "bad-option" in program(*wrong, "--out", out, input=mark, code=2).said
        both = (*wrong, "--out", "-", "--json")
        assert "two-choices" in program(*both, input=mark, code=2).out
    wrong = (*arguments, "--out", "-", "--format", "jpeg")
    assert "unknown-kind" in program(*wrong, input=mark, code=2).said


@pytest.mark.parametrize("kind", ["bdf", "txt"])
def test_a_font_may_be_standard_input(program, tmp_path, kind):
    out = tmp_path / "upright-5.bdf"
    given = program("font", "export", "upright-5", "--out", "-", "--format", kind).raw
    program("font", "import", "-", "--out", out, input=given)
    assert load_font(out).font.glyphs == load_font(FONTS / "upright-5.bdf").font.glyphs
    picture = program("font", "show", "-", "--out", "-", input=given).raw
    assert Image.open(io.BytesIO(picture)).format == "PNG"
    assert "<stdin>" in program("font", "import", "-", "--out", out, input="?", code=2).said


def test_a_format_wins_over_a_suffix(program, tmp_path):
    out = tmp_path / "code.txt"
    program("compile", BEST, *AT, "--out", out, "--format", "pbm")
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
def test_what_cannot_be_meant_is_refused(program, command, options):
    assert "help" in program(command, BEST, *AT, *options, code=2).text


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
def test_a_message_may_be_standard_input(program, arguments):
    assert "elderflower" in program(*arguments, input=TEXT).out


def test_a_profile_may_be_standard_input(program):
    profile = (SHARED / "profiles" / "bottle-16.toml").read_bytes()
    for given in (["show", BEST, *AT, "--profile", "-"], ["check", BEST, *AT, "--profile", "-"]):
        named = program(*given[:-1], SHARED / "profiles" / "bottle-16.toml", code=None)
        assert program(*given, input=profile, code=None).both == named.both
    assert "kPa" in program("jet", "-", input=HEAD.read_bytes(), code=None).out


def test_standard_input_is_called_so_and_read_once(program):
    assert program("show", "-", *AT, input="message", code=2).said.startswith("<stdin>:1:")
    other = program("show", "-", "--message", "other", *AT, input=TEXT, code=2)
    assert "<stdin>" in other.said
    assert "standard input" in program("diff", "-", "-", input=TEXT, code=2).said


@pytest.mark.parametrize("command", ["show", "compile"])
def test_an_example_that_does_not_hold_is_warned_of(program, command, tmp_path):
    out, said = program(command, "-", *AT, input=BAD).both
    assert out
    assert "warning[expect]" in said
    assert 'expected "BEST BEFORE END NOV 2027"' in said
    out = tmp_path / "code.svg"
    ended = program(command, "-", *AT, "--strict", "--out", out, input=BAD, code=1)
    assert "error[expect]" in ended.said
    assert not out.exists()
    ended = program(command, "-", *AT, "--strict", "--json", input=BAD, code=1)
    assert json.loads(ended.out)["diagnostics"][0]["code"] == "expect"
    assert "expect" not in program(command, "-", *AT, "--strict", input=TEXT).said


def test_the_examples_of_the_plant_hold():
    assert load(BEST).message.expects
