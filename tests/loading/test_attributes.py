"""What holds for every attribute of a line, in every room that goes by them."""

import string

import pytest

from rasterc.api import load_text
from rasterc.layout.lines import LineSetter, style_key
from rasterc.resources import resource_dir
from rasterc.source.formatting.format import format_text
from rasterc.source.message import Line, line_attributes
from rasterc.tracing.declared import look

ATTRIBUTES = line_attributes()
REFERENCE = (resource_dir("grammar") / "README.md").read_text(encoding="utf-8")
TEXT = string.ascii_letters + string.digits


def code_of(attributes):
    font = "" if attributes.startswith("font") else "font upright-7 "
    return load_text(f'message trial {{ raster 16 block {{ line {font}{attributes}: "HI" }} }}')


def line_of(attributes):
    return code_of(attributes).message.lines[0]


def strokes_of(line):
    setter = LineSetter(code_of("").fonts["upright-7"], line)
    return {char: setter.columns(char) for char in TEXT}


def test_a_line_is_nothing_but_pieces_places_and_attributes():
    places = {"span", "font_span"}
    assert set(Line.__struct_fields__) == {"pieces", *places, *ATTRIBUTES}


@pytest.mark.parametrize("name", ATTRIBUTES)
def test_its_example_changes_the_line_and_nothing_else_of_it(name):
    plain, line = line_of(""), line_of(ATTRIBUTES[name].example)
    assert [n for n in ATTRIBUTES if getattr(plain, n) != getattr(line, n)] == [name]


@pytest.mark.parametrize("name", ATTRIBUTES)
def test_versions_that_differ_in_it_do_not_look_the_same(name):
    assert look(code_of("").message) != look(code_of(ATTRIBUTES[name].example).message)


@pytest.mark.parametrize("name", [n for n in ATTRIBUTES if n != "font"])
def test_it_says_whether_it_changes_the_strokes_of_characters(name):
    plain, line = line_of(""), line_of(ATTRIBUTES[name].example)
    changed = strokes_of(plain) != strokes_of(line)
    assert changed == ATTRIBUTES[name].sets
    font = code_of("").fonts["upright-7"]
    assert changed == (style_key(font, plain) != style_key(font, line))


@pytest.mark.parametrize("name", ATTRIBUTES)
def test_the_reference_has_a_row_for_it(name):
    assert f"\n| `{name}" in REFERENCE


def test_the_formatter_writes_them_in_their_order():
    examples = [attribute.example for attribute in ATTRIBUTES.values()]
    text = 'message trial { raster 16 block { line %s: "HI" } }'
    assert " ".join(examples) in format_text(text % " ".join(reversed(examples)))
