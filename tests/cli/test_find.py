"""`rasterc find` as a command."""

import json
import re
from pathlib import Path

import pytest

SALLOWFIELD = Path(__file__).parents[2] / "shared" / "plants" / "sallowfield"
HERE = ["--plant", SALLOWFIELD]
WHEN = ["--between", "2027-01-01", "2027-12-31"]
LOT = "L 27329B 04711"


@pytest.fixture
def below(tmp_path, monkeypatch):
    """A folder without a plant file, in which the program runs."""
    (tmp_path / "night").mkdir()
    text = (
        'message {} {{ raster 7 font upright-7 clock a in "UTC" block {{ line: "L" a(yyDDD) }} }}'
    )
    (tmp_path / "day.rasterc").write_text(text.format("day"))
    (tmp_path / "night" / "night.rasterc").write_text(text.format("night"))
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_a_code_is_found_with_its_message_line_moments_and_counter(program):
    text = program("find", LOT, *HERE, *WHEN).text
    assert re.search(r"^Sallowfield packing estate: 1 of \d+ messages could", text)
    assert "searched 2027-01-01 until 2028-01-01, as whole lines" in text
    assert "rye-loaf on bakery, messages/rye-loaf.rasterc, line 2" in text
    assert "  2027-11-25 14:00 until 22:00  bag 4711\n" in text
    assert max(map(len, text.splitlines())) <= 80


def test_files_that_cannot_be_read_are_named_in_every_answer(program):
    for code, texts in ((0, [LOT]), (1, ["NOBODY PRINTS THIS"])):
        text = program("find", *texts, *HERE, *WHEN, code=code).text
        assert "cannot say of 1:\n  messages/nougat-broken.rasterc on bakery" in text


def test_several_texts_are_the_lines_of_one_code(program):
    texts = ["BEST BEFORE 01 DEC 2027", "L 2?329B 0471?"]
    assert "lines 1, 2" in program("find", *texts, *HERE, *WHEN).text
    program("find", "BEST BEFORE 02 DEC 2027", texts[1], *HERE, *WHEN, code=1)


def test_a_part_is_told_as_a_part(program):
    text = program("find", "27329B 0471", *HERE, *WHEN).text
    assert "as parts of lines" in text
    assert "bag 4710 to 4719" in text
    assert "none of" in program("find", "27329B 0471", "--whole", *HERE, *WHEN, code=1).text
    both = [program("find", LOT, *how, *HERE, *WHEN, "--json").text for how in ([], ["--part"])]
    assert [json.loads(one)["parts"] for one in both] == [False, True]


def test_only_messages_of_a_line_of_the_plant(program):
    assert "tube-hand on tubes" in program("find", "QK0417", "--line", "tubes", *HERE, *WHEN).text
    found = program("find", LOT, "--line", "tubes", *HERE, *WHEN, code=1).text
    assert "none of 3 messages" in found
    said = program("find", LOT, "--line", "tube", *HERE, code=2).said
    assert 'no line "tube"' in said
    assert 'did you mean "tubes"?' in said


@pytest.mark.parametrize(
    ("between", "code"),
    [
        (["2027-11-25", "2027-11-25"], 0),  # the last day is included
        (["2027-11-25 22:00", "2027-11-26"], 1),
        (["2027-11-25 21:59", "2027-11-25 22:00"], 0),
        (["2027-11-25", "2027-11-25 14:00"], 1),
    ],
)
def test_the_time_it_was_printed_can_be_bounded(program, between, code):
    program("find", LOT, *HERE, "--between", *between, code=code)


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["??"], "no character was read"),
        ([LOT, "--between", "soon", "2027-12-31"], "soon"),
        ([LOT, "--between", "2028-01-01", "2027-12-31"], "ends before it begins"),
        ([LOT, "--between", "1066-01-01", "2027-12-31"], "cannot be searched"),
        ([LOT, "--between", "2027-01-01", "9999-12-31"], "cannot be searched"),
        ([LOT, "--between", "2027-01-01 12:00+01:00", "2027-01-01 11:30+03:00"], "ends before"),
        ([LOT, "--plant", "nowhere"], "nowhere"),
    ],
)
def test_what_cannot_be_asked_is_said(program, options, said):
    assert said in program("find", *options, code=2).said


def test_without_a_plant_all_messages_below_are_looked_at(program, below):
    found = json.loads(program("find", "L27329", *WHEN, "--json").text)["found"]
    assert {Path(one["file"]).as_posix() for one in found} == {
        "day.rasterc", "night/night.rasterc",
    }  # fmt: skip


def test_the_plant_above_is_taken(program, below):
    (below / "plant.toml").write_text('[[message]]\nfile = "day.rasterc"\n')
    inside = below / "night"
    assert "1 of 1 message could" in program("find", "L27329", "--plant", below, *WHEN).text
    with pytest.MonkeyPatch.context() as here:
        here.chdir(inside)
        assert "1 of 1 message could" in program("find", "L27329", *WHEN).text


def test_a_folder_without_messages_is_said(program, tmp_path):
    assert "holds no .rasterc file" in program("find", LOT, "--plant", tmp_path, code=2).said


def test_what_comes_closest_is_no_answer(program):
    text = program("find", "BEST BEFORE 31 NOV 2027", *HERE, *WHEN, code=1).text
    assert "No answer, but one character away:" in text
    assert '"BEST BEFORE 01 NOV 2027", with 0 read as 3' in text
    document = program("find", "BEST BEFORE 31 NOV 2027", *HERE, *WHEN, "--json", code=1).text
    closest = json.loads(document)["closest"]
    assert closest[0]["misread"]["read"] == "3"
    assert json.loads(document)["found"] == []


def test_json_tells_all(program):
    document = json.loads(program("find", LOT, *HERE, *WHEN, "--json").text)
    assert document["plant"] == "Sallowfield packing estate"
    assert (document["from"], document["until"]) == ("2027-01-01T00:00:00", "2028-01-01T00:00:00")
    [one] = document["found"]
    assert one | {"file": ""} == {
        "message": "rye-loaf",
        "file": "",
        "on": ["bakery"],
        "lines": [1],
        "zone": "Europe/Dublin",
        "count": 1,
        "minutes": 480,
        "combinations": 480,
        "combinations_said": "480",
        "verified": True,
        "matches": [
            {
                "from": "2027-11-25T14:00:00+00:00",
                "until": "2027-11-25T22:00:00+00:00",
                "counters": {"bag": [{"first": 4711, "last": 4711, "step": 1}]},
                "inputs": {},
            }
        ],
        "misread": None,
    }
    assert [one["message"] for one in document["unsure"]] == [None]
