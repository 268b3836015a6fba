"""The report of a print: what counts, what is compared with what, and what is named."""

from datetime import datetime

import pytest

from rasterc.api import load_text
from rasterc.diagnostics import InputError
from rasterc.reading import misread_general, misread_lost, misread_moved, risk_report
from rasterc.reading.model import any_of

SOURCE = """message m {
  raster 16
  font upright-7
  clock packed in "Europe/Dublin"
  clock best = packed + 9 months
  input lot matching "[A-Z]{2}[0-9]{2}"
  block {
    line: "BEST " best(dd MMM yyyy, upper)
    line: "L" lot " " packed(HH:mm)
  }
}"""
WHEN = datetime(2027, 11, 25, 18, 8)
DIGITS = "0123456789"


def report(source: str = SOURCE, **options):
    code = load_text(source)
    needs = {"lot": "OB88"} if "lot" in code.message.inputs else {}
    resolved = code.resolve(WHEN, inputs=needs).resolved
    return code, risk_report(resolved, code.fonts, code.plan, **options)


@pytest.fixture(scope="module")
def printed():
    return report()


def test_every_character_has_its_place(printed):
    _, found = printed
    assert [line.text for line in found.lines] == ["BEST 25 AUG 2028", "LOB88 18:08"]
    for number, line in enumerate(found.lines):
        assert "".join(place.char for place in line.places) == line.text
        assert [place.place for place in line.places] == list(range(len(line.text)))
        assert {place.line for place in line.places} == {number}
    assert [p.field for p in found.lines[1].places] == ["", *["lot"] * 4, "", *["packed"] * 5]


def test_a_digit_is_compared_with_the_digits_of_its_place(printed):
    code, found = printed
    font = code.fonts["upright-7"]
    eight = found.lines[1].places[3]
    assert eight.char == "8"
    assert eight.general == misread_general(font, "8", DIGITS)
    assert eight.lost == misread_lost(font, "8", DIGITS)
    assert eight.moved == misread_moved(font, "8", DIGITS)
    assert {rival.char for rival in eight.rivals} < set(DIGITS)


def test_a_separator_of_a_date_is_known(printed):
    _, found = printed
    colon = next(p for p in found.lines[1].places if p.char == ":")
    assert (colon.lost.high, colon.moved.high, colon.rivals) == (0, 0, ())


def test_literals_are_shown_and_do_not_count(printed):
    _, found = printed
    first = found.lines[0]
    literal = [p for p in first.places if not p.field]
    assert "".join(p.char for p in literal) == "BEST "
    assert literal[1].lost.high > 0  # an E among capitals
    assert all(p.rivals == () for p in literal)
    for what in ("general", "lost", "moved"):
        places = [getattr(p, what) for p in first.places if p.field]
        assert getattr(first, what) == any_of(places)
        assert getattr(found, what) == any_of(getattr(line, what) for line in found.lines)


def test_pairs_are_named_with_their_field_and_share(printed):
    _, found = printed
    shares = [pair.share for pair in found.pairs]
    assert shares == sorted(shares, reverse=True)
    assert sum(shares) == pytest.approx(1)
    named = {(pair.printed, pair.read_as, pair.span.text): pair for pair in found.pairs}
    assert named["8", "0", "lot"].places == 2
    assert named["8", "0", "packed(HH:mm)"].places == 2
    assert named["8", "0", "lot"].font == "upright-7"
    assert ("O", "U", "lot") in named


def test_without_damage_nothing_is_misread():
    _, found = report(loss=0.0, spread=0.0)
    assert found.general.high == found.lost.high == 0
    assert found.moved.high < 1e-9
    assert found.pairs == ()


def test_bold_lines_are_read_better():
    _, plain = report()
    _, bold = report(SOURCE.replace("line:", "line bold 2:"))
    assert bold.general.high < plain.general.low / 3
    assert bold.lost.high < plain.lost.high / 10
    assert bold.moved.high < plain.moved.high / 10


@pytest.mark.parametrize("attribute", ["tower", "inverse", "wide 2", "fixed"])
def test_every_style_can_be_read(attribute):
    source = SOURCE.replace("raster 16", "raster 9").replace(
        'line: "BEST " best(dd MMM yyyy, upper)', ""
    )
    _, found = report(source.replace("line:", f"line {attribute}:"))
    assert 0 < found.lost.high < 0.5
    assert 0 < found.general.low <= found.general.high < 1
    assert 0 <= found.moved.low <= found.moved.high < 0.5


def test_pictures_and_missing_characters_are_left_out():
    source = 'message m { raster 5 font upright-5 input t, default "Aa" block { line: t } }'
    _, found = report(source)
    assert [place.char for place in found.lines[0].places] == ["A"]


def test_an_open_input_is_compared_with_ascii_not_with_other_scripts():
    # The Greek capital eta and the Cyrillic en have the drops of the Latin H.
    source = 'message m { raster 9 font upright-9 input t, default "HÉ" block { line: t } }'
    code, found = report(source)
    shapes = {code.fonts["upright-9"].glyphs[c].columns for c in "HΗН"}
    assert len(shapes) == 1
    assert 0 < found.lines[0].places[0].lost.high < 0.1
    assert found.lines[0].places[1].char == "É"
    assert found.lines[0].places[1].rivals


def test_what_cannot_be_is_refused():
    with pytest.raises(InputError) as caught:
        report(loss=1.5, spread=9.0)
    assert [d.code for d in caught.value.diagnostics] == ["bad-loss", "bad-spread"]


def test_chances_that_come_together():
    # P(at least one of independent chances) is 1 - prod(1 - p), for both ends.
    from rasterc.reading import Bracket

    both = any_of([Bracket(0.1, 0.2), Bracket(0.3, 0.4)])
    assert both.low == pytest.approx(1 - 0.9 * 0.7)
    assert both.high == pytest.approx(1 - 0.8 * 0.6)
    assert any_of([]) == Bracket(0, 0)
