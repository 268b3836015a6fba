"""Rosters from the command line."""

import json

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
