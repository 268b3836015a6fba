"""`rasterc trace` and `rasterc diff` as commands."""

import json
from pathlib import Path

import pytest
from PIL import Image

SHARED = Path(__file__).parents[2] / "shared"
MESSAGES = SHARED / "messages"
BEST = MESSAGES / "best-before.rasterc"
LOT = MESSAGES / "lot-expiry.rasterc"
LINES = ["--line", "BEST BEFORE END AUG 2028", "--line", "L27329B 14:?5 0042"]
FROM = ["--from", "2024-01-01"]


def version(tmp_path: Path, *changes: tuple[str, str], of: Path = BEST) -> Path:
    text = of.read_text()
    for before, after in changes:
        assert before in text
        text = text.replace(before, after)
    path = tmp_path / of.name
    path.write_text(text)
    return path


def test_trace_lists_the_moments_within_80_columns(program):
    text = program("trace", BEST, *LINES, *FROM).text
    assert "elderflower: 6 times, 6 minutes in all" in text
    assert "  case 42\n" in text
    for minute in range(5, 60, 10):
        assert f"  2027-11-25 14:{minute:02}\n" in text
    assert max(map(len, text.splitlines())) <= 80


def test_trace_points_at_the_place_that_cannot_be(program):
    lines = ["--line", "BEST BEFORE END AUG 2028", "--line", "L27329C 14:05 0042"]
    text = program("trace", BEST, *lines, *FROM, code=1).text
    assert "no match" in text
    shown = text.splitlines()
    caret = next(line for line in shown if line.strip() == "^")
    assert shown[shown.index(caret) - 1][caret.index("^")] == "1"


def test_trace_json(program):
    document = json.loads(program("trace", BEST, *LINES, *FROM, "--json").text)
    assert document["count"] == document["minutes"] == 6
    assert document["matches"][0] == {
        "from": "2027-11-25T14:05:00+00:00",
        "until": "2027-11-25T14:06:00+00:00",
        "counters": {"case": [{"first": 42, "last": 42, "step": 1}]},
        "inputs": {},
    }
    lines = ["--line", "BEST BEFORE END AUG 2028", "--line", "L27329C 14:05 0042"]
    document = json.loads(program("trace", BEST, *lines, *FROM, "--json", code=1).text)
    assert document["failure"] == {
        "message": document["failure"]["message"], "line": 1, "place": 8,
    }  # fmt: skip


def test_trace_of_a_long_stretch_and_an_unread_input(program):
    text = program("trace", LOT, "--line", "LOT ??0417", "--line", "EXP 11/2030", *FROM).text
    assert '  lot "??0417"' in text
    assert "  2027-11-02 00:00 until 2027-12-02 00:00" in text


def test_trace_of_a_code_without_clock(program):
    text = program(
        "trace", MESSAGES / "pallet-serial.rasterc", "--line", "(00)3000004200012345?2"
    ).text
    assert text == "pallet-serial: can have been printed\n  pallet 123456\n"


def test_diff_of_the_same_is_quiet(program):
    text = program("diff", BEST, BEST, *FROM).text
    assert text.startswith("elderflower: prints the same\n")


def test_diff_tells_the_first_difference_within_80_columns(program, tmp_path):
    new = version(tmp_path, ("9 months", "10 months"), ("HH:mm", "H:mm"))
    profile = SHARED / "profiles" / "bottle-16.toml"
    text = program("diff", BEST, new, *FROM, "--profile", profile, "--set", "case=77", code=1).text
    assert "elderflower: differs in 5,260,320 minutes on 3,653 days" in text
    assert "    - BEST BEFORE END SEP 2024\n    + BEST BEFORE END OCT 2024\n" in text
    assert "    - L23365C 00:00 0077\n    + L23365C 0:00 0077\n" in text
    assert "line 2 in 2,191,800 minutes" in text
    assert "-1 character in line 2" in text
    assert "changed clock best" in text
    assert max(map(len, text.splitlines())) <= 80


def test_diff_json(program, tmp_path):
    new = version(tmp_path, ("06:00\n  clock", "05:30\n  clock"))
    document = json.loads(program("diff", BEST, new, *FROM, "--years", 1, "--json", code=1).text)
    [message] = document["messages"]
    assert message["minutes"] == 366 * 30
    assert message["days"] == message["count"] == len(message["differences"]) == 366
    assert message["first"]["at"] == "2024-01-01T05:30:00+00:00"
    assert message["declared"][0]["what"] == "clock packed"
    assert document["same"] is False


def test_diff_draws_both_versions(program, tmp_path):
    new, out = version(tmp_path, ("9 months", "10 months")), tmp_path / "both.png"
    program("compile", BEST, "--at", "2024-01-01 00:00", "--out", tmp_path / "one.png")
    assert "wrote" in program("diff", BEST, new, *FROM, "--out", out, code=1).text
    with Image.open(tmp_path / "one.png") as one, Image.open(out) as both:
        assert both.height == 2 * one.height
        upper = both.crop((0, 0, one.width, one.height))
        assert upper.tobytes() == one.convert("RGB").tobytes()


def test_diff_matches_messages_by_name(program, tmp_path):
    one = 'message {} {{ raster 7 font upright-7 block {{ line: "{}" }} }}\n'
    old, new = tmp_path / "old.rasterc", tmp_path / "new.rasterc"
    old.write_text(one.format("a", "A") + one.format("b", "B"))
    new.write_text(one.format("c", "C") + one.format("a", "A"))
    text = program("diff", old, new, code=1).text
    assert "a: prints the same" in text
    assert "b: only in the old file" in text
    assert "c: only in the new file" in text
    assert "a: prints the same" in program("diff", old, new, "--message", "a").text


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["trace", BEST, "--line", "one"], "prints 2 lines"),
        (["trace", BEST, *LINES, "--from", "yesterday"], "not a date and time"),
        (["trace", BEST, *LINES, "--years", 0], "1 to 100 years"),
        (["trace", BEST, *LINES, "--message", "elder"], "elderflower"),
        (["trace", "nowhere.rasterc", *LINES], "nowhere.rasterc"),
        (["diff", BEST, "nowhere.rasterc"], "nowhere.rasterc"),
        (["diff", BEST, BEST, "--set", "kase=1"], 'did you mean "case"'),
        (["diff", BEST, BEST, "--set", "case=0"], "never prints 0"),
        (["diff", BEST, BEST, "--set", "case=x"], "case"),
        (["diff", LOT, LOT], "input lot is missing"),
        (["diff", BEST, BEST, "--out", "both.svg"], ".png"),
        (["diff", BEST, BEST, "--from", "1850-01-01"], "1974"),
    ],
)
def test_bad_input_is_answered_with_exit_2(program, arguments, said, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert said in program(*arguments, code=2).text
    assert list(tmp_path.iterdir()) == []
