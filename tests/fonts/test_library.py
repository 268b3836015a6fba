"""Finding fonts by name and by path."""

import pytest

from rasterc.diagnostics import InputError, SourceText, Span
from rasterc.fonts.bdf_write import format_bdf
from rasterc.fonts.library import FontBook
from rasterc.fonts.model import Font, Glyph


def put(path, name, column=1):
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(format_bdf(Font(name, 2, 0, 1, {"A": Glyph("A", (column,))})))


def fault_of(book, name):
    with pytest.raises(InputError) as caught:
        book.find(name)
    return caught.value.diagnostics[0]


@pytest.fixture
def project(tmp_path):
    put(tmp_path / "line/fonts/own-2.bdf", "own-2", column=1)
    put(tmp_path / "more/own-2.bdf", "own-2", column=2)
    put(tmp_path / "more/else-2.bdf", "else-2")
    put(tmp_path / "line/odd.bdf", "odd")
    put(tmp_path / "secret.bdf", "secret")
    return tmp_path


def test_a_name_is_found_beside_the_message_first_then_in_the_folders(project):
    book = FontBook.beside(project / "line", [project / "more"])
    assert book.find("own-2").glyphs["A"].columns == (1,)
    assert book.find("else-2").name == "else-2"
    assert FontBook.beside(None, [project / "more"]).find("own-2").glyphs["A"].columns == (2,)
    assert {"own-2", "else-2"} <= set(book.names())


def test_a_file_is_read_once(project):
    book = FontBook.beside(project / "line")
    first = book.find("own-2")
    (project / "line/fonts/own-2.bdf").unlink()
    put(project / "line/fonts/own-2.bdf", "own-2", column=3)
    assert book.find("own-2") is first
    assert FontBook.beside(project / "line").find("own-2") is not first


def test_a_path_is_below_the_folder_of_the_message_or_a_folder_named(project):
    book = FontBook.beside(project / "line", [project / "more"])
    assert book.find("odd.bdf").name == "odd"
    assert book.find("fonts/own-2.bdf").glyphs["A"].columns == (1,)
    assert book.find("else-2.bdf").name == "else-2"


def test_no_path_leads_out_of_the_folder(project):
    book = FontBook.beside(project / "line")
    (project / "line/link.bdf").symlink_to(project / "secret.bdf")
    for name in (
        "../secret.bdf",
        str(project / "secret.bdf"),
        "link.bdf",
        "fonts/../../secret.bdf",
    ):
        assert fault_of(book, name).code == "font-outside-folder", name
    for name in ("../secret", "fonts/own-2", "a\0b", "", "a\0b.bdf"):
        assert fault_of(book, name).code in ("unknown-font", "font-outside-folder"), name


def test_an_unknown_name_is_answered_with_the_nearest_and_where_it_was_looked_for(project):
    fault = fault_of(FontBook.beside(project / "line", [project / "more"]), "esle-2")
    assert fault.code == "unknown-font"
    assert 'did you mean "else-2"?' in fault.help
    assert str(project / "line/fonts") in fault.help
    assert str(project / "more") in fault.help


def test_a_font_file_with_faults_is_reported_with_the_place_that_uses_it(project):
    (project / "line/fonts/own-2.bdf").write_text("STARTFONT 2.1\n")
    source = SourceText("m.rasterc", "font own-2")
    book = FontBook.beside(project / "line")
    with pytest.raises(InputError) as caught:
        book.find("own-2", Span(source, 5, 10))
    first, *rest = caught.value.diagnostics
    assert first.span.text == "own-2"
    assert [d.code for d in rest] == ["empty-font"]


def test_all_names_are_looked_up_before_reporting(project):
    span = Span(SourceText("m", ""), 0, 0)
    book = FontBook.beside(project / "line")
    with pytest.raises(InputError) as caught:
        book.find_all([("nope", span), ("own-2", span), ("neither", span), ("nope", span)])
    assert [d.code for d in caught.value.diagnostics].count("unknown-font") >= 2
    assert list(book.find_all([("own-2", span), ("odd.bdf", span)])) == ["own-2", "odd.bdf"]


def test_a_folder_that_is_not_there_is_an_error(project):
    with pytest.raises(InputError) as caught:
        FontBook.beside(project, [project / "x", project / "more", project / "y"])
    assert [d.code for d in caught.value.diagnostics] == ["no-font-folder"] * 2
