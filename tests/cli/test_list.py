"""`rasterc list`: what it shows, how it is narrowed, and its HTML file."""

import json
import re
import shutil
from html.parser import HTMLParser
from pathlib import Path

import pytest

SHARED = Path(__file__).parents[2] / "shared"
AT = ("--at", "2027-11-25 14:05")

PLANT = """\
name = "Mill & <i>Sons</i>"
[defaults]
horizon_years = 2
[[line]]
name = "fast"
profile = "p.toml"
speeds_m_s = [0.5]
[[line]]
name = "slow"
profile = "p.toml"
[[message]]
file = "good.rasterc"
at = "2027-11-25 14:05"
[[message]]
file = "sub/*.rasterc"
lines = ["slow"]
set = ["n=90"]
"""
GOOD = """\
message good { raster 7 font upright-7
  clock packed in "Europe/Dublin"
  table yy { 2026 -> "A" 2027 -> "B" 2028 -> "C" }
  block { line: packed(yyyy, table yy) packed(dd) "<&>" }
}
"""
ENDS = """\
message ends { raster 9 font upright-9
  counter n from 1 to 99, at end stop
  input who
  block { line: "N" n(00) who }
}
message season { raster 9 font upright-9
  clock packed in "Europe/Dublin"
  clock best = 2027-12-31
  counter n from 1 to 999, restart monthly of packed, at end stop
  block { line: "BEST BEFORE " best(dd MMM yyyy, upper) " " packed(DDD) n(000) }
}
"""
BAD = 'message bad { raster 99 font upright-7 block { line: "1" } }'


@pytest.fixture
def plant(tmp_path, monkeypatch):
    """A plant of two good messages on two lines, and a file of declarations."""
    (tmp_path / "sub").mkdir()
    (tmp_path / "plant.toml").write_text(PLANT)
    (tmp_path / "good.rasterc").write_text(GOOD)
    (tmp_path / "sub/ends.rasterc").write_text(ENDS)
    (tmp_path / "sub/shared.rasterc").write_text('table month { 1 -> "A" }\n')
    shutil.copy(SHARED / "profiles/bottle-16.toml", tmp_path / "p.toml")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def rows(program, *arguments, code=0, **environment):
    document = json.loads(program("list", *arguments, "--json", code=code, **environment).out)
    return document["messages"]


def names(program, *arguments):
    return [(row["message"], row["line"]) for row in rows(program, *arguments)]


def test_the_demo_plant(program):
    assert (
        program("list", SHARED, *AT, "--line", "dairy", "--line", "cartons").out
        == """\
message        line     raster    length  state          next day, or what was found
fresh-milk     dairy         9   62.4 mm  not looked at  -
months-abroad  cartons      16  166.4 mm  not looked at  -
beef-cut       cartons      16   73.2 mm  not looked at  -
night-shift    dairy         9   55.5 mm  not looked at  -
pallet-serial  cartons      12   88.3 mm  not looked at  2028-01-29  counter pallet stops after \
9999999 at the earliest, at 151,200 products a day

5 messages on 2 lines: 5 not looked at
looked ahead 5 years
"""
    )


def test_lengths_are_those_of_the_check(program):
    for row in rows(program, SHARED, *AT)[:3]:
        profile = {"bottles": "bottle-16", "dairy": "dairy-9"}[row["line"]]
        given = ("--profile", SHARED / f"profiles/{profile}.toml", *AT)
        lot = ("--set", "lot=QK0417") if row["message"] == "lot-expiry" else ()
        checked = program("check", row["file"], *given, *lot, "--json", code=None)
        timing = json.loads(checked.out)["messages"][0]["timing"]
        assert row["length_mm"] == pytest.approx(timing[0]["length_mm"])


def test_each_message_on_each_line(program, plant):
    found = rows(program)
    assert [(row["message"], row["line"]) for row in found] == [
        ("good", "fast"), ("good", "slow"), ("ends", "slow"), ("season", "slow"),
    ]  # fmt: skip
    good, _, ends, season = found
    assert (good["raster"], good["lines"], good["at"]) == (
        7,
        ["B25<&>"],
        "2027-11-25T14:05:00+00:00",
    )
    assert good["state"] == "not-looked-at"
    assert ends["made_up"] == ["who"]
    assert ends["lines"] == ["N9088888888"]
    assert (season["strokes"] > 0, season["length_mm"] > 0) == (True, True)


def test_what_is_ahead(program, plant):
    good, _, ends, season = rows(program, *AT)
    assert good["next_day"] == {
        "day": "2029-01-01", "kind": "no-text", "said": 'table yy has no row for "2029"',
    }  # fmt: skip
    assert ends["next_day"]["kind"] == "counter-ends"
    assert [day["kind"] for day in season["days"]] == ["restart", "date-passes"]
    assert season["next_day"]["day"] == "2027-12-31"  # needs somebody, a restart does not


@pytest.mark.parametrize(
    ("options", "expected"),
    [
        (("--line", "fast"), "g"),
        (
            ("--line", "fast", "--line", "slow", "--sort", "name"),
            "eggs",
        ),
        (("--sort", "line"), "gegs"),
        (("--sort", "day", *AT), "esgg"),
        (("--sort", "length"), "segg"),
        (("--state", "not-looked-at", "--line", "slow"), "ges"),
        (("--state", "broken"), ""),
        (("--state", "broken", "--state", "not-looked-at", "--line", "fast"), "g"),
    ],
)
def test_it_is_narrowed_and_sorted(program, plant, options, expected):
    known = {"e": "ends", "g": "good", "s": "season"}
    assert [name for name, _ in names(program, *options)] == [known[one] for one in expected]


def test_what_is_broken_is_listed_and_told(program, plant):
    Path("sub/bad.rasterc").write_text(
        'message bad { raster 99 font upright-7 block { line: "1" } }'
    )
    Path("good.rasterc").write_text(GOOD.replace('"<&>"', '"\u0416"'))
    ended = program("list", "--sort", "state", code=2)
    first, second, third, *_ = ended.out.splitlines()[1:]
    assert first.startswith("bad.rasterc  slow       -        -  broken")
    assert second.startswith("good         fast       7        -")
    assert third.startswith("good         slow       7        -")
    assert "broken" in second
    assert "sub/bad.rasterc:1:22: error[bad-number]: raster is a whole" in ended.said
    assert ended.said.count("good.rasterc:4:") == 1  # on both lines, told once
    assert "2 broken" not in ended.out and "3 broken, 2 not looked at" in ended.out
    [row] = [row for row in rows(program, code=2) if row["file"].endswith("bad.rasterc")]
    assert (row["message"], row["raster"], row["state"]) == ("", None, "broken")
    assert row["faults"][0]["code"] == "bad-number"


def test_columns_stand_under_each_other_whatever_a_file_is_called(program, plant):
    Path("sub/\u202e.rasterc").write_text("message")
    head, *lines = program("list", code=2).out.splitlines()[:6]
    assert any(line.startswith("\\u202e.rasterc  slow") for line in lines)
    assert len({line.index(" slow ") for line in lines if " slow " in line}) == 1
    assert head.index("line") == lines[1].index("slow")


def test_settings_and_profiles_that_do_not_fit_are_broken(program, plant):
    Path("plant.toml").write_text(PLANT.replace("n=90", "m=90"))
    found = {row["message"]: row["faults"] for row in rows(program, code=2)}
    assert found["good"] == []
    assert [fault["code"] for fault in found["ends"]] == ["unknown-name"]
    Path("p.toml").write_text("name = 3")
    assert {row["state"] for row in rows(program, code=2)} == {"broken"}


def test_the_plant_is_the_nearest_one(program, plant, monkeypatch):
    every = names(program)
    for folder in ("sub", "."):
        monkeypatch.chdir(plant / folder)
        assert names(program) == every
    assert names(program, plant) == names(program, plant / "plant.toml") == every
    assert names(program, plant / "sub") == [("ends", None), ("season", None)]  # without plant file


@pytest.mark.parametrize(
    ("arguments", "said", "help"),
    [
        (["none"], "cannot read the plant file none", "is the name right?"),
        (["sub/none"], "cannot read the plant file sub/none", "is the name right?"),
        (["--line", "fats"], 'there is no line "fats"', 'did you mean "fast"?'),
        (["sub", "--line", "fast"], 'there is no line "fast"', "the plant has no lines"),
        (["--at", "soon"], '"soon" is not a date and time', "write it as"),
        (["--out", "list.png"], "--out list.png does not end in .html", "one HTML file"),
        (["--out", "-", "--json"], "--json and --out - both print", "name a file for --out"),
    ],
)
def test_bad_input_is_told(program, plant, arguments, said, help):
    ended = program("list", *arguments, code=2)
    told = ended.text if "--json" in arguments else ended.said
    assert said in told
    assert help in told


def test_without_a_plant_it_says_where_it_looked(program, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    said = program("list", code=2).said
    assert "error[no-plant]: there is no plant.toml in this folder or above it" in said


def test_many_processes_find_the_same(program, plant):
    one = program("list", *AT, "--json", "--workers", 1).out
    assert program("list", *AT, "--json", "--workers", 2).out == one


def test_what_other_processes_read_is_not_overwritten(program, plant):
    Path("list.html").symlink_to("good.rasterc")
    said = program("list", "--workers", 2, "--out", "list.html", code=2).said
    assert "error[would-overwrite]" in said
    assert Path("good.rasterc").read_text() == GOOD


class Page(HTMLParser):
    """What a browser would make of the file: tags with their attributes, and texts."""

    def __init__(self, text):
        super().__init__()
        self.tags, self.texts = [], []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data):
        self.texts.append(data)

    def all(self, tag):
        return [attrs for name, attrs in self.tags if name == tag]


def test_the_page_has_the_drops_of_every_message(program, plant):
    program("list", *AT, "--out", "list.html")
    text = Path("list.html").read_text()
    page = Page(text)
    drawn = [attrs["d"] for attrs in page.all("path") if "stroke-width" in attrs]
    found = rows(program, *AT)
    assert len(page.all("li")) == len(drawn) == len(found) == 4
    for path, row in zip(drawn, found, strict=True):
        given = [part for name in row["made_up"] for part in ("--set", f"{name}=88888888")]
        given += ["--set", "n=90"] if row["line"] == "slow" and row["message"] != "good" else []
        one = program("compile", row["file"], *AT, "--message", row["message"], *given).out
        strokes = json.loads(one)["messages"][0]["columns"]
        assert path.count("h0") == sum(bits.bit_count() for bits in strokes)
        assert len(set(re.findall("M(\\d+) ", path))) == sum(map(bool, strokes))


def test_the_page_needs_nothing_else_and_shows_names_as_they_are(program, plant):
    program("list", *AT, "--out", "list.html")
    text = Path("list.html").read_text()
    page = Page(text)
    assert "Mill & <i>Sons</i>" in page.texts
    assert not page.all("i")
    assert "B25<&>" in page.texts
    addresses = set(re.findall(r"[a-z]+://[^\s\"'<]+", text))
    assert addresses == {"http://www.w3.org/2000/svg"}  # a name, not an address
    for _, attrs in page.tags:
        assert not {"src", "href", "srcset", "action", "data", "style"} & set(attrs)
    assert "default-src 'none'" in page.all("meta")[2]["content"]


def test_a_broken_message_stands_in_the_page_too(program, plant):
    Path("sub/bad.rasterc").write_text(
        'message bad { raster 99 font upright-7 block { line: "1" } }'
    )
    program("list", *AT, "--out", "list.html", code=2)
    page = Page(Path("list.html").read_text())
    assert len(page.all("li")) == 5
    assert "bad.rasterc" in page.texts
    assert any(one.startswith("raster is a whole") for one in page.texts)
    assert {"class": "broken"} in page.all("b")


def states(program, kept, *arguments):
    found = rows(program, *arguments, **kept)
    return {(row["message"], row["line"]): row["state"] for row in found}


def test_states_are_those_of_the_last_check_that_still_holds(program, plant):
    kept = {"RASTERC_CACHE": str(plant / "kept")}
    assert set(states(program, kept, *AT).values()) == {"not-looked-at"}
    checked = json.loads(program("check", *AT, "--json", code=None, **kept).out)["messages"]
    assert len(checked) == 3  # the other one has an input that nobody gave
    found = states(program, kept, *AT)
    assert found.pop(("ends", "slow")) == "not-looked-at"
    for one in checked:
        worst = {finding["severity"] for finding in one["findings"]}
        expected = next((f"{s}s" for s in ("error", "warning", "note") if s in worst), "good")
        assert found[one["message"], one["line"]] == expected
    failing = [f"{f['code']}: {f['message']}" for f in checked[0]["findings"]]
    first = rows(program, *AT, **kept)[0]
    assert (first["found"] or "") == (
        failing[0] if first["state"] in ("errors", "warnings") else ""
    )
    assert len(set(found.values())) > 1
    assert set(states(program, kept, "--at", "2027-11-26 14:05").values()) == {"not-looked-at"}
    assert {row["checked"] for row in rows(program, *AT, **kept)} == {"one-print", None}
    Path("sub/ends.rasterc").write_text(ENDS.replace('"N"', '"M"'))
    after = states(program, kept, *AT)
    assert after["good", "fast"] == found["good", "fast"]
    assert after["season", "slow"] == "not-looked-at" != found["season", "slow"]


def test_what_the_plant_accepts_is_good(program, plant):
    kept = {"RASTERC_CACHE": str(plant / "kept")}
    checked = json.loads(program("check", *AT, "--json", code=None, **kept).out)["messages"]
    rules = {finding["code"] for one in checked for finding in one["findings"]}
    accepted = "".join(f'[[silence]]\nrule = "{rule}"\nbecause = "known"\n' for rule in rules)
    Path("plant.toml").write_text(PLANT + accepted)
    program("check", *AT, code=None, **kept)
    found = states(program, kept, *AT)
    assert [found.pop(("ends", "slow")), *set(found.values())] == ["not-looked-at", "good"]
    said = program("list", *AT, **kept).out
    assert said.count("good, one print") == 3  # in another it may be bad
    assert "2 lines: 3 good in one print, 1 not looked at" in said
    program("check", "--all", *AT, code=None, **kept)
    assert "one print" not in program("list", *AT, **kept).out
    assert {row["checked"] for row in rows(program, *AT, **kept)} == {"years"}


def test_a_day_on_which_a_check_fails_is_ahead(program, plant):
    kept = {"RASTERC_CACHE": str(plant / "kept")}
    text = GOOD.replace("yyyy, table yy) packed(dd)", "EEEE, in de)")
    text = text.replace("}\n}", "}\n  require length <= 22 mm\n}")
    Path("good.rasterc").write_text(text)
    program("check", "--all", "--years", 1, *AT, code=1, **kept)
    assert rows(program, "--line", "fast", *AT, **kept)[0]["state"] == "not-looked-at"
    program("check", "--all", *AT, code=1, **kept)
    [row] = rows(program, "--line", "fast", *AT, **kept)
    assert row["state"] == "errors"
    assert row["next_day"]["kind"] == "failing"
    assert row["next_day"]["said"].startswith("require: ")
    # of the German weekdays Donnerstag, of a Thursday, is the longest (CLDR)
    assert row["next_day"]["day"] == "2027-11-25"
