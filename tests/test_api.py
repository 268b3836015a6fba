"""The Python API as an integrator meets it."""

from datetime import UTC, date, datetime

import pytest

import rasterc
from rasterc.files import write_file

SOURCE = """
message api {{
  raster 16
  font upright-7
  clock packed in "{zone}", day from 06:00
  {more}
  counter case from 1 to 99
  input lot length 1 to 4
  block {{
    line: packed(dd.MM.yy HH:mm) case(00)
    line: "\\"" lot "\\\\"
  }}
  {contract}
}}
"""


def load(zone="Europe/Warsaw", more="", contract=""):
    return rasterc.load_text(SOURCE.format(zone=zone, more=more, contract=contract))


def test_the_public_names_are_listed_and_there():
    assert dir(rasterc) == sorted(rasterc.__all__)
    for name in rasterc.__all__:
        assert getattr(rasterc, name) is not None
    with pytest.raises(AttributeError):
        rasterc.nothing  # noqa: B018


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"counters": {"case": "7"}, "inputs": {"lot": "A"}}, "whole number, not '7'"),
        ({"counters": {"case": 7.0}, "inputs": {"lot": "A"}}, "whole number, not 7.0"),
        ({"counters": {"case": True}, "inputs": {"lot": "A"}}, "whole number, not True"),
        ({"inputs": {"lot": 12}}, "a text, not 12"),
    ],
)
def test_values_of_the_wrong_type_are_input_errors(given, said):
    with pytest.raises(rasterc.InputError) as caught:
        load().resolve("2027-07-26 04:30", **given)
    assert said in str(caught.value)


@pytest.mark.parametrize("when", [date(2027, 11, 25), 1795615500, 1.5])
def test_a_moment_of_the_wrong_type_is_an_input_error(when):
    with pytest.raises(rasterc.InputError, match="not a date and time"):
        load().resolve(when, inputs={"lot": "A"})


@pytest.mark.parametrize(
    ("zone", "more"),
    [
        ("UTC", ""),
        ("Europe/Warsaw", ""),
        ("Europe/Warsaw", 'clock other in "America/New_York"'),
    ],
)
def test_the_example_a_note_suggests_holds_when_it_is_added(zone, more):
    when = datetime(2027, 7, 26, 2, 30, tzinfo=UTC)
    given = {"counters": {"case": 42}, "inputs": {"lot": 'B"'}}
    printed = load(zone, more).resolve(when, **given)
    [note] = [f for f in printed.check() if f.rule == "missing-expect"]
    example = note.remedy.partition("add it: ")[2].partition(", if that is right")[0]
    again = load(zone, more, example).resolve(when, **given)
    assert not [f for f in again.check() if f.rule in ("expect", "missing-expect")]


def test_letters_written_in_two_ways_are_the_same():
    """Unicode: E with acute is U+00C9, or E and U+0301; texts are kept in normal form C."""
    text = """message m { raster 7 font upright-7 input city default "CAFE\u0301"
      table t { "CAFE\u0301" -> "1" }
      block { line: "CAFE\u0301" city(table t) } expect { "CAF\u00c91" } }"""
    printed = rasterc.load_text(text).resolve()
    assert printed.lines == ("CAF\u00c91",)
    assert not [f for f in printed.check() if f.rule in ("expect", "missing-glyph")]


def test_a_file_behind_a_link_is_the_one_that_is_written(tmp_path):
    real, link = tmp_path / "real.txt", tmp_path / "link.txt"
    real.write_text("old")
    link.symlink_to(real)
    write_file(link, b"new")
    assert link.is_symlink()
    assert real.read_text() == "new"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["link.txt", "real.txt"]
