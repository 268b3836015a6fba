"""`rasterc font`: what it prints, what it writes, how it ends."""

import json
from pathlib import Path

import pytest
from PIL import Image
from typer.testing import CliRunner

from rasterc.cli.font.command import app
from rasterc.fonts.load import load_font

ART = """\
font small-3
ascent 2
descent 1
spacing 1
glyph U+0041
.#.
###
...
glyph U+0042
##
#.
##
"""


@pytest.fixture
def run(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")
    Path("small-3.txt").write_text(ART)

    def invoke(*arguments):
        result = CliRunner().invoke(app, [str(argument) for argument in arguments])
        if result.exception and not isinstance(result.exception, SystemExit):
            raise result.exception
        return result

    return invoke


def test_show_prints_a_specimen(run):
    result = run("show", "small-3.txt")
    assert result.exit_code == 0
    assert result.stdout == (
        "small-3: 3 rows (2 above the baseline, 1 below), spacing 1, 2 glyphs\n\n"
        "U+0041 A  U+0042 B\n.#.       ##\n###       #.\n...       ##\n"
    )


def test_show_sets_a_text(run):
    assert run("show", "small-3.txt", "--text", "BA").stdout == "##..#.\n#..###\n##....\n"


def test_show_as_json(run):
    document = json.loads(run("show", "small-3.txt", "--chars", "B", "--json").stdout)
    (glyph,) = document["glyphs"]
    assert glyph == {
        "char": "B", "code": "U+0042", "width": 2, "drops": 5, "rows": ["##", "#.", "##"],
    }  # fmt: skip
    font = document["font"]
    assert (font["height"], font["ascent"], font["spacing"]) == (3, 2, 1)
    text = json.loads(run("show", "small-3.txt", "--text", "AB", "--json").stdout)["set"]
    assert (text["strokes"], text["rows"][0]) == (6, ".#..##")


def test_show_writes_pictures(run):
    assert run("show", "small-3.txt", "--out", "sheet.png").stdout == "wrote sheet.png\n"
    assert run("show", "small-3.txt", "--text", "AB", "--out", "text.png").exit_code == 0
    for name in ("sheet.png", "text.png"):
        with Image.open(name) as picture:
            assert picture.format == "PNG"


def test_a_name_is_found_in_folders_and_among_the_shipped_fonts(run):
    Path("more").mkdir()
    assert run("import", "small-3.txt", "--out", "more/mine-3.bdf").exit_code == 0
    assert run("show", "mine-3").exit_code == 2
    assert run("show", "mine-3", "--fonts", "more").exit_code == 0
    assert run("show", "upright-7", "--chars", "A").exit_code == 0


def test_import_and_export_keep_the_font(run):
    assert run("import", "small-3.txt", "--out", "b.bdf").exit_code == 0
    assert run("export", "b.bdf", "--out", "c.txt").exit_code == 0
    first, last = load_font(Path("small-3.txt")).font, load_font(Path("c.txt")).font
    assert (last.glyphs, last.spacing) == (first.glyphs, first.spacing)
    assert last.name == "c"
    assert run("export", "b.bdf", "--out", "d.bdf", "--chars", "A").exit_code == 0
    assert list(load_font(Path("d.bdf")).font.glyphs) == ["A"]
    assert run("export", "b.bdf", "--out", "e.png").exit_code == 0


def test_import_says_what_it_had_to_decide(run):
    Path("x.bdf").write_text(
        "STARTFONT 2.1\nCHARS 1\nSTARTCHAR A\nENCODING 65\nDWIDTH 2 0\nBBX 1 1 0 0\nBITMAP\n80\n"
        "ENDCHAR\nENDFONT\n"
    )
    result = run("import", "x.bdf", "--out", "y.bdf")
    assert result.exit_code == 0
    assert "note[no-charset]" in result.stderr
    document = json.loads(run("import", "x.bdf", "--out", "y.bdf", "--json").stdout)
    assert "no-charset" in [note["code"] for note in document["diagnostics"]]
    assert document["font"]["name"] == "y"


def test_import_draws_outline_fonts(run):
    pytest.importorskip("freetype", reason="the extra outline is not installed")
    fonts = sorted(Path("/usr/share/fonts/truetype").glob("*/*Sans*.ttf"))
    if not fonts:
        pytest.skip("no TrueType font is installed")
    assert run("import", fonts[0], "--height", 9, "--out", "s.bdf", "--chars", "AB1").exit_code == 0
    assert load_font(Path("s.bdf")).font.height == 9
    result = run("import", fonts[0], "--out", "s.bdf")
    assert (result.exit_code, "--height 9" in result.stderr) == (2, True)


@pytest.mark.parametrize(
    ("arguments", "part"),
    [
        (("show", "upright-77"), 'did you mean "upright-7"?'),
        (("show", "none.bdf"), "cannot read the font none.bdf"),
        (("show", "small-3.txt", "--text", "AxB"), "U+0078 x"),
        (("show", "small-3.txt", "--chars", "é"), "U+00E9"),
        (("show", "small-3.txt", "--text", "A", "--chars", "A"), "not both"),
        (("show", "small-3.txt", "--out", "a.gif"), ".png"),
        (("show", "some-name", "--fonts", "nowhere"), "no folder nowhere"),
        (("import", "small-3.txt", "--out", "a.ttf"), ".bdf .txt"),
        (("import", "small-3.txt", "--out", "no/folder/a.bdf"), "cannot write"),
        (("import", "small-3.txt", "--out", "a.bdf", "--height", "9"), "outline"),
        (("import", "small-3.txt", "--out", "a.bdf", "--chars", "AZ"), "U+005A"),
    ],
)
def test_mistakes_are_reported_and_nothing_is_written(run, arguments, part):
    before = sorted(Path().rglob("*"))
    result = run(*arguments)
    assert result.exit_code == 2
    assert part in result.stderr
    assert result.stdout == ""
    faults = json.loads(run(*arguments, "--json").stdout)["diagnostics"]
    assert faults[0]["severity"] == "error"
    assert sorted(Path().rglob("*")) == before


def test_faults_of_a_font_file_are_shown_with_their_lines(run):
    Path("bad.txt").write_text(ART.replace(".#.", ".o.").replace("#.\n##", "#.\n###"))
    result = run("show", "bad.txt")
    assert result.exit_code == 2
    assert "bad.txt:6:1: error[bad-row]" in result.stderr
    assert "bad.txt:12:1: error[uneven-rows]" in result.stderr


def test_audit_lists_the_closest_pairs(run):
    result = run("audit", "small-3.txt", "--pairs", "5")
    assert result.exit_code == 0
    assert "A B" in result.stdout
    document = json.loads(run("audit", "small-3.txt", "--json").stdout)
    (pair,) = document["closest"]
    assert (pair["first"], pair["second"], pair["drops"]) == ("A", "B", 9)
    assert document["missing"] == []


def test_audit_reports_the_faults_of_the_message(run):
    pytest.importorskip("rasterc.source.load")
    result = run("audit", "small-3.txt", "none.rasterc")
    assert (result.exit_code, "none.rasterc" in result.stderr) == (2, True)


MESSAGE = """\
message demo {
  raster 7
  font upright-7
  clock packed in "Europe/Dublin"
  counter case from 1 to 99
  input lot matching "[A-C][0-9]"
  input note
  block { line: "AB" packed(MMM, in de) case(00) lot note }
}
"""


def test_audit_against_a_message_finds_what_its_fields_print(run):
    pytest.importorskip("rasterc.source.load")
    Path("demo.rasterc").write_text(MESSAGE)
    result = run("audit", "small-3.txt", "demo.rasterc", "--json")
    assert result.exit_code == 1
    document = json.loads(result.stdout)
    # German months of CLDR: Jan. Feb. März Apr. Mai Juni Juli Aug. Sept. Okt. Nov. Dez.
    months = set("JanFebMärzAprMaiJuniJuliAugSeptOktNovDez.") - {"A"}
    assert set(document["missing"]) == months | set("0123456789C")
    assert document["open_inputs"] == ["note"]
    place = next(d for d in document["findings"] if "ä U+00E4" in d["message"])
    assert (place["line"], place["text"]) == (8, "packed(MMM, in de)")
    assert "upright-7" in place["help"]
    assert run("audit", "upright-7", "demo.rasterc").exit_code == 0
