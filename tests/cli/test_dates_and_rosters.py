"""Rosters and typed dates from the command line."""

import json

import pytest

CREWS = """message crews {
  raster 7
  font upright-7
  clock packed in "Europe/Dublin", day from 06:00
  shift   crew of packed every   3 weeks from 2027-01-04 {
    "A" from 06:00 on 1 to 7  "B" from 14:00 on 1 to 7  "C" from 22:00 on 1 to 7
    "C" from 06:00 on 8 to 14  "A" from 14:00 on 8 to 14  "B" from 22:00 on 8 to 14
    "B" from 06:00 on 15 to 21  "C" from 14:00 on 15 to 21  "A" from 22:00 on 15 to 20,21
  }
  block { line: packed(yyMMdd) crew }
}
"""


def test_a_roster_is_shown_checked_formatted_and_traced(program, tmp_path):
    path = tmp_path / "crews.rasterc"
    path.write_text(CREWS)
    assert "270124A" in program("show", path, "--at", "2027-01-25 05:59").text
    program("check", path, "--all", "--at", "2027-01-25 05:59")
    program("fmt", path)
    assert "shift crew of packed every 3 weeks from 2027-01-04 {" in path.read_text()
    assert '"A" from 22:00 on 15 to 20, 21' in path.read_text()
    traced = program("trace", path, "--line", "270124A", "--from", "2027-01-01", "--json")
    matches = json.loads(traced.text)["matches"]
    assert [(match["from"], match["until"]) for match in matches] == [
        ("2027-01-24T22:00:00+00:00", "2027-01-25T06:00:00+00:00")
    ]
    again = program("repeats", path, "--from", "2027-01-01").text
    assert "prints again  2127-" in again or "prints again  2128-" in again


MEAT = """message meat {
  raster 16
  font upright-7
  clock packed in "Europe/Dublin", day from 06:00
  input slaughtered   date "dd.MM.yy",within 28 days before packed
  clock best = slaughtered + 42 days
  block {
    line: "S " slaughtered " L" packed(yyDDD)
    line: "BEST " best(dd MMM yyyy, upper)
  }
  require strokes <= 100
}
"""


@pytest.fixture
def meat(tmp_path):
    path = tmp_path / "meat.rasterc"
    path.write_text(MEAT)
    return path


def test_a_typed_date_is_set_shown_and_formatted(program, meat):
    at = ("--at", "2027-02-10 14:05")
    shown = program("show", meat, *at, "--set", "slaughtered=03.02.27").text
    assert "BEST 17 MAR 2027" in shown
    program("fmt", meat)
    assert 'input slaughtered date "dd.MM.yy", within 28 days before packed' in meat.read_text()


@pytest.mark.parametrize(
    ("text", "code", "help"),
    [
        ("31.02.27", "input-mismatch", "look it up in a calendar"),
        ("3.2.27", "input-mismatch", "write it like 03.02.27"),
        ("12.01.27", "date-out-of-limits", "give a day from 13.01.27 to 10.02.27"),
        ("11.02.27", "date-out-of-limits", "give a day from 13.01.27 to 10.02.27"),
        ("", "input-mismatch", "write it like 03.02.27"),
    ],
)
def test_a_wrong_date_is_answered(program, meat, text, code, help):
    at = ("--at", "2027-02-10 14:05")
    ended = program("show", meat, *at, "--set", f"slaughtered={text}", code=2)
    assert f"error[{code}]" in ended.said and help in ended.said


def test_a_date_that_is_missing_is_asked_for(program, meat):
    ended = program("show", meat, "--at", "2027-02-10 14:05", code=2)
    assert "--set slaughtered=03.02.27, as dd.MM.yy" in ended.said


def test_a_typed_date_in_extremes_traces_and_proofs(program, meat):
    start = ("--from", "2027-01-01")
    extremes = program("extremes", meat, *start, "--years", "2", "--json")
    [found] = json.loads(extremes.text)["messages"]
    assert all(one["exact"] for one in found["extremes"])
    assert all(one["witness"]["inputs"]["slaughtered"] for one in found["extremes"])
    ranges = {one["field"]: (one["first"], one["last"]) for one in found["dates"]}
    assert ranges["slaughtered"] == ("2026-12-03", "2028-12-31")
    lines = ("--line", "S 03.02.27 L27041", "--line", "BEST 17 MAR 2027")
    traced = json.loads(program("trace", meat, *lines, *start, "--json").text)
    assert [m["inputs"] for m in traced["matches"]] == [{"slaughtered": ["03.02.27"]}]
    assert "may not be typed again" in " ".join(program("repeats", meat, *start).text.split())
    checked = program("check", meat, "--all", "--years", "1", "--at", "2027-02-10 14:05").text
    assert "1 require checked" in checked and "cannot" not in checked


def test_a_shelf_life_by_product_is_counted_from_a_typed_date(program, tmp_path):
    (tmp_path / "products.csv").write_text("item,name,life\n100,BEEF,42\n200,LAMB,21\n")
    path = tmp_path / "meat.rasterc"
    path.write_text(
        """message meat {
  raster 16
  font upright-7
  clock packed in "Europe/Dublin"
  input slaughtered date "dd.MM.yy", within 9 days before packed
  input item one of products.item
  table products from "products.csv" by item
  clock best = slaughtered + products.life days
  block { line: products.name " " best(dd MMM yyyy, upper) }
}
"""
    )
    at = ("--at", "2027-02-10 14:05")
    given = ("--set", "slaughtered=03.02.27", "--set", "item=100")
    assert "BEEF 17 MAR 2027" in program("show", path, *at, *given).text
    program("check", path, "--all", "--years", "1", *at)
    line = ("--line", "BEEF 17 MAR 2027", "--from", "2027-01-01", "--json")
    [first, *_] = json.loads(program("trace", path, *line).text)["matches"]
    assert first["inputs"] == {"item": ["100"], "slaughtered": ["03.02.27"]}
