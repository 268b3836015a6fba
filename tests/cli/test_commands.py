"""Every command by its entry point; tests/test_readme.py runs them in a shell."""

import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

SHARED = Path(__file__).parents[2] / "shared"
BEST = SHARED / "messages" / "best-before.rasterc"
BOTTLE = SHARED / "profiles" / "bottle-16.toml"
AT = ["--at", "2027-11-25 14:05", "--set", "case=42"]
PROGRAM = Path(sys.executable).with_name("rasterc")


def test_help_names_every_command_and_the_cautions(program):
    text = program("--help").text
    for command in ("show", "compile", "check", "fmt", "font", "explain"):
        assert command in text
    assert "kilovolts" in text
    assert program("--version").text.startswith("rasterc ")


def test_show_draws_the_drops_within_80_columns(program):
    text = program("show", BEST, *AT).text
    assert "BEST BEFORE END AUG 2028" in text
    assert "L27329B 14:05 0042" in text
    assert max(map(len, text.splitlines())) <= 80
    assert "▀" in text or "█" in text


@pytest.mark.parametrize("style", ["block", "braille", "dots", "plain"])
def test_show_styles_print_the_same_number_of_drops(program, style):
    text = program("show", BEST, *AT, "--style", style, "--width", 60).text
    assert max(map(len, text.splitlines())) <= 60
    facts = [line for line in text.splitlines() if line.startswith("raster 16")]
    drops = int(facts[0].split()[-2])
    drawn = text[: text.index("raster 16")].split("\n\n", 1)[1]
    count = {
        "block": lambda c: {"█": 2, "▀": 1, "▄": 1}.get(c, 0),
        "braille": lambda c: (ord(c) - 0x2800).bit_count() if 0x2800 <= ord(c) < 0x2900 else 0,
        "dots": lambda c: c == "●",
        "plain": lambda c: c == "#",
    }[style]
    assert sum(map(count, drawn)) == drops


def test_marks_of_a_picture_are_drawn_or_refused(program, tmp_path):
    plain, named, both = (tmp_path / f"{name}.svg" for name in ("plain", "named", "both"))
    program("show", BEST, *AT, "--out", plain)
    program("show", BEST, *AT, "--out", named, "--labels")
    program("show", BEST, *AT, "--out", both, "--labels", "--grid")
    assert [path.read_text().count("<text") for path in (plain, named, both)] == [0, 5, 5]
    assert [path.read_text().count("dasharray") for path in (plain, named, both)] == [0, 0, 1]
    refused = program("show", BEST, *AT, "--out", tmp_path / "code.pbm", "--labels", code=2)
    assert "pbm has no place for --labels" in refused.said
    assert "--grid goes with --out" in program("show", BEST, *AT, "--grid", code=2).said


def test_show_with_a_profile_tells_length_and_time(program):
    text = program("show", BEST, *AT, "--profile", BOTTLE, "--speed", 0.9).text
    assert "at 0.9 m/s:" in text
    assert "mm long" in text


def test_show_json_holds_texts_strokes_and_fields(program):
    [document] = json.loads(program("show", BEST, *AT, "--json").text)["messages"]
    assert document["raster"] == 16
    assert document["texts"] == ["BEST BEFORE END AUG 2028", "L27329B 14:05 0042"]
    names = {box["name"] for box in document["boxes"]}
    assert {"best", "packed", "crew", "case"} <= names


def test_compile_prints_json_and_writes_every_format(program, tmp_path):
    [printed] = json.loads(program("compile", BEST, *AT).text)["messages"]
    columns = printed["columns"]
    for suffix in ("json", "pbm", "png", "svg", "npz"):
        out = tmp_path / f"code.{suffix}"
        program("compile", BEST, *AT, "--profile", BOTTLE, "--out", out)
        first = out.read_bytes()
        program("compile", BEST, *AT, "--profile", BOTTLE, "--out", out)
        assert out.read_bytes() == first, "same input, same bytes"
    assert json.loads((tmp_path / "code.json").read_text())["columns"] == columns
    assert np.load(tmp_path / "code.npz")["columns"].tolist() == columns
    with Image.open(tmp_path / "code.pbm") as picture:
        assert picture.size == (len(columns), 16)
    with Image.open(tmp_path / "code.png") as picture:
        assert picture.width > picture.height > 16
    svg = (tmp_path / "code.svg").read_text()
    assert svg.startswith(("<svg", "<?xml"))
    assert sorted(p.name for p in tmp_path.iterdir()) == [
        f"code.{s}" for s in ("json", "npz", "pbm", "png", "svg")
    ]


def test_the_speed_changes_the_picture(program, tmp_path):
    pictures = []
    for speed in ("0.3", "0.9"):
        out = tmp_path / f"{speed}.svg"
        program("compile", BEST, *AT, "--profile", BOTTLE, "--speed", speed, "--out", out)
        pictures.append(out.read_text())
    assert pictures[0] != pictures[1]


def test_check_is_quiet_on_a_good_message_and_exits_1_on_findings(program, tmp_path):
    good = program("check", BEST, *AT, "--profile", BOTTLE).text
    assert "no findings" in good
    fast = tmp_path / "fast.toml"
    fast.write_text(BOTTLE.read_text().replace("[0.6, 0.9]", "[0.6, 2.5]"))
    text = program("check", BEST, *AT, "--profile", fast, code=1).text
    assert "stroke-rate" in text
    assert "help: slow to 0.98 m/s" in text
    assert "best-before.rasterc:3:" in text


def test_check_json_has_findings_and_timing(program, tmp_path):
    fast = tmp_path / "fast.toml"
    fast.write_text(BOTTLE.read_text().replace("[0.6, 0.9]", "[0.6, 2.5]"))
    text = program("check", BEST, *AT, "--profile", fast, "--json", code=1).text
    [message] = json.loads(text)["messages"]
    assert {f["code"] for f in message["findings"]} >= {"stroke-rate", "print-window"}
    assert [t["speed_m_s"] for t in message["timing"]] == [0.6, 2.5]


def test_fmt_changes_a_file_once_and_keeps_its_comments(program, tmp_path):
    file = tmp_path / "a.rasterc"
    file.write_text('# one\nmessage a{raster 7 font upright-7 block{line:"A" # two\n}}\n')
    assert "1 of 1" in program("fmt", "--check", file, code=1).text
    assert "+++" in program("fmt", "--diff", file, code=1).text
    program("fmt", file)
    once = file.read_text()
    assert once.count("# one") == once.count("# two") == 1
    assert "0 of 1" in program("fmt", file).text
    assert file.read_text() == once
    assert program("fmt", "-", input=once).text == once


def test_explain_lists_and_explains_every_rule(program):
    index = json.loads(program("explain", "--json").text)["rules"]
    listed = program("explain").text
    for rule in index:
        assert rule["rule"] in listed
    page = program("explain", "stroke-rate").text
    for part in ("Source:", "This trips it:", "remedy: slow to", "This passes:"):
        assert part in page
    assert "drop_frequency_hz" in program("explain", "profile").text
    assert json.loads(program("explain", "json", "profile").text)["$defs"]["Head"]
    assert 'did you mean "stroke-rate"' in program("explain", "stroke-rat", code=2).text


def test_rule_pages_can_be_printed(program):
    """Some of them one by one; tests/checks runs every example, and `--page` prints them all."""
    from rasterc.checks.registry import all_rules

    for name in list(all_rules())[::12]:
        assert f"{name} (" in program("explain", name).text


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["show", "nowhere.rasterc"], "nowhere.rasterc"),
        (["show", BEST, "--at", "yesterday"], "not a date and time"),
        (["show", BEST, "--at", "2028-02-29"], "say the time too"),
        (["check", BEST, "--at", "9998-12-31 10:00"], "is the year right?"),
        (["check", BEST, "--all", "--at", "9985-12-31 10:00", "--years", "9"], "9990"),
        (["show", BEST, "--at", "soon", "--set", "kase=4"], 'did you mean "case"'),
        (["show", BEST, "--set", "case"], "not NAME=VALUE"),
        (["show", BEST, "--set", "kase=4"], 'did you mean "case"'),
        (["show", BEST, "--set", "case=4x"], "case"),
        (["show", BEST, "--set", "case=0"], "case"),
        (["show", BEST, "--set", "case=1", "--set", "case=2"], "twice"),
        (["show", BEST, "--speed", "1"], "--profile"),
        (["show", BEST, "--message", "elder"], "elderflower"),
        (["show", BEST, "--profile", BEST], "not TOML"),
        (["show", BEST, "--profile", BOTTLE, "--speed", "-1"], "not a line speed"),
        (["show", BEST, "--fonts", "nowhere"], "nowhere"),
        (["compile", BEST, "--out", "code.bmp"], ".png"),
        (["compile", BEST, "--out", "nowhere/code.png"], "nowhere"),
        (["fmt", "nowhere.rasterc"], "nowhere.rasterc"),
    ],
)  # fmt: skip
def test_bad_input_is_answered_with_exit_2(program, arguments, said, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert said in program(*arguments, code=2).text
    assert list(tmp_path.iterdir()) == []


def test_bad_input_in_json(program):
    document = json.loads(program("show", BEST, "--at", "2027-13-01", "--json", code=2).text)
    assert document["diagnostics"][0]["code"] == "not-a-time"


def test_every_fault_is_reported_with_its_place(program, tmp_path):
    file = tmp_path / "bad.rasterc"
    file.write_text(
        'message bad {\n  raster 17\n  font upright-7\n  clock packed in "Europe/Dublim"\n'
        "  block { line: packet(yyDDD) packed(bb) }\n}\n"
    )
    text = program("show", file, code=2).text
    for place in ("bad.rasterc:2:", "bad.rasterc:5:"):
        assert place in text
    assert 'did you mean "packed"' in text


@pytest.mark.parametrize("command", ["show", "compile", "extremes", "fly"])
def test_faults_of_message_profile_and_folder_come_together(program, command, tmp_path):
    file, profile = tmp_path / "bad.rasterc", tmp_path / "bad.toml"
    file.write_text('message bad {\n  raster 17\n  font own-7\n  block { line: "A" }\n}\n')
    profile.write_text(BOTTLE.read_text().replace("row_pitch_mm", "row_pich_mm"))
    said = program(command, file, "--profile", profile, "--fonts", "nowhere", code=2).said
    for part in ("there is no folder nowhere", "bad.rasterc:2:", "row_pich_mm"):
        assert part in said
    assert "unknown-font" not in said  # it may lie in the folder


def test_a_setting_of_no_message_is_told_before_the_work(program, monkeypatch):
    def never(*given, **options):
        raise AssertionError("it was begun")

    for place in ("rasterc.inspection.looking.survey", "rasterc.tracing.diff.diff"):
        monkeypatch.setattr(place, never)
    for command in (["check", BEST, "--all"], ["diff", BEST, BEST]):
        said = program(*command, "--set", "kase=4", "--set", "case=4", code=2).said
        assert 'did you mean "case"' in said


def test_a_file_with_several_messages_shows_all_and_compiles_one(program, tmp_path):
    file = tmp_path / "two.rasterc"
    one = 'message {} {{ raster 7 font upright-7 block {{ line: "A" }} }}\n'
    file.write_text(one.format("first") + one.format("second"))
    text = program("show", file).text
    assert "first" in text
    assert "second" in text
    assert "--message" in program("compile", file, "--out", tmp_path / "x.pbm", code=2).text
    program("compile", file, "--message", "second", "--out", tmp_path / "x.pbm")
    assert (tmp_path / "x.pbm").exists()
    assert len(json.loads(program("compile", file).text)["messages"]) == 2


def test_a_closed_pipe_is_no_traceback():
    command = f'"{PROGRAM}" compile "{BEST}" --at 2027-11-25 --set case=42 | head -c 10'
    done = subprocess.run(command, shell=True, capture_output=True, text=True, timeout=600)
    assert "Traceback" not in done.stderr


def test_completion_offers_the_commands(program):
    text = program(
        code=0, _RASTERC_COMPLETE="complete_bash", COMP_WORDS="rasterc co", COMP_CWORD="1"
    ).text
    assert "compile" in text


def test_without_the_outline_extra_the_error_names_it(program, monkeypatch, tmp_path):
    # a None in sys.modules makes the import fail as if the package were not installed
    monkeypatch.setitem(sys.modules, "freetype", None)
    font = tmp_path / "a.ttf"
    font.write_bytes(b"\0\1\0\0")
    given = ["font", "import", font, "--height", 9, "--out", tmp_path / "a.bdf"]
    assert "outline" in program(*given, code=2).said


def test_a_counter_is_set_by_its_value_or_as_it_prints(program, tmp_path):
    """As `expect` and Python read it: a plain number is the value, quotes hold the digits."""
    file = tmp_path / "reel.rasterc"
    file.write_text(
        "message reel { raster 7 font upright-7 counter reel from 1 to 1048575, base 32\n"
        'block { line: reel(0000) } expect reel 1000 { "00V8" } }'
    )
    for setting in ("reel=1000", 'reel="00V8"', 'reel="V8"'):
        [shown] = json.loads(program("show", file, "--set", setting, "--json").text)["messages"]
        assert shown["texts"] == ["00V8"]
    assert "in quotes" in program("show", file, "--set", "reel=00V8", code=2).text


@pytest.mark.parametrize("command", ["show", "check", "extremes", "trace"])
def test_all_mistakes_of_a_file_are_reported_at_once(program, command, tmp_path):
    text = BEST.read_text(encoding="utf-8").replace("Europe/Dublin", "Europe/Dubln")
    text = text.replace("9999, restart", "9999, restrt").replace("MMM yyyy", "jjj yyyy")
    file = tmp_path / "five.rasterc"
    file.write_text(text.replace("raster 16", "raster 16 17"), encoding="utf-8")
    more = ["--line", "A", "--line", "B"] if command == "trace" else []
    said = program(command, file, *more, code=2).text
    places = [said.index(word) for word in ('"17"', "Europe/Dubln", "restrt", '"j"')]
    assert places == sorted(places)
    assert said.count("error[") == 4
