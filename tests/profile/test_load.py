"""Every fault of a profile is reported, each with its line."""

import json
import os
import time
from pathlib import Path

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec import structs

from rasterc.diagnostics import InputError, SourceText
from rasterc.profile.load import MAX_PROFILE_BYTES, load_profile, parse_profile
from rasterc.profile.model import Firing, LineProfile, json_schema
from rasterc.profile.reference import reference
from rasterc.toml.places import key_places
from rasterc.toml.typed import MAX_FAULTS, struct_of

GOOD = """\
name = "test line"
[head]
drop_frequency_hz = 73_900
throw_mm = 15
row_pitch_mm = 0.35
drop_diameter_um = 113
[[raster]]
drops = 9
guard_drops = 1
[[raster]]
drops = 7
firing = "high-first"
[line]
speeds_m_s = [1, 2.5]
stroke_pitch_mm = 0.35
[product]
dot_diameter_mm = 0.4
"""

# what may be nothing at all: unprinted drops, parts and tolerances, a voltage
FROM_ZERO = {
    "guard_drops", "stroke_gap_drops", "induction", "throw_tolerance_mm", "min_v", "stated_at_c",
    "make_up_interaction",
}  # fmt: skip


def faults(text: str) -> list[tuple[str, int]]:
    with pytest.raises(InputError) as caught:
        parse_profile(text)
    return [(d.code, d.span.line if d.span else 0) for d in caught.value.diagnostics]


def test_a_good_profile_is_read():
    profile = parse_profile(GOOD)
    assert profile.line.speeds_m_s == [1, 2.5]
    assert profile.raster(7).firing is Firing.HIGH_FIRST
    assert profile.raster(9).guard_drops == 1
    assert profile.raster(12) is None


@pytest.mark.parametrize(
    ("old", "new", "code", "line"),
    [
        ("throw_mm = 15", "throw_mm = -2", "wrong-value", 4),
        ("throw_mm = 15", 'throw_mm = "far"', "wrong-value", 4),
        ("throw_mm = 15", "throw_mm = nan", "wrong-value", 4),
        ("throw_mm = 15", "throw_mn = 15", "unknown-key", 4),
        ("throw_mm = 15\n", "", "missing-key", 2),
        ("drops = 7", "drops = 9", "twice", 11),
        ("drops = 7", "drops = 17", "wrong-value", 11),
        ("drops = 7", "drops = 7.5", "wrong-value", 11),
        ('"high-first"', '"top-first"', "wrong-value", 12),
        ("[1, 2.5]", "[1, 99]", "wrong-value", 14),
        ("[1, 2.5]", "[]", "wrong-value", 14),
        ("[1, 2.5]", "[1, 2.5", "not-toml", 15),
        ("[product]", "[product", "not-toml", 16),
        ('name = "test line"', 'name = ""', "wrong-value", 1),
        ("[head]", "[[head]]", "wrong-type", 2),
        ("dot_diameter_mm = 0.4", 'dot_diameter_mm = 0.4\nink = "red"', "wrong-value", 18),
    ],
)
def test_a_fault_is_named_at_its_line(old, new, code, line):
    assert old in GOOD
    assert (code, line) in faults(GOOD.replace(old, new))


def test_all_faults_are_reported_in_order():
    text = GOOD.replace("throw_mm = 15", "throw_mm = -2").replace("drops = 9", "drops = 99")
    text = text.replace("[1, 2.5]", "[0]").replace("0.4", '"wide"') + "colour = 1\n"
    assert faults(text) == [
        ("wrong-value", 4),
        ("wrong-value", 8),
        ("wrong-value", 14),
        ("wrong-value", 17),
        ("unknown-key", 18),
    ]


def test_a_misspelt_key_is_one_fault_and_names_the_right_one():
    with pytest.raises(InputError) as caught:
        parse_profile(GOOD.replace("drop_frequency_hz", "drop_freqency_hz"))
    [fault] = caught.value.diagnostics
    assert fault.help == 'did you mean "drop_frequency_hz"?'


@pytest.mark.parametrize(
    ("old", "new", "said", "help"),
    [
        (
            "[head]",
            'rules = ["eu-fod"]\n[head]',
            'rules: "eu-fod" is none of its values (at value 1); one of: general, eu-food, '
            "eu-medicine, gs1, us-food, us-device, egg, cable",
            'did you mean "eu-food"?',
        ),
        (
            '"high-first"',
            '"top"',
            'raster.2.firing: "top" is none of its values; one of: low-first, high-first',
            "Which drop of a stroke is thrown first.",
        ),
        (
            "[1, 2.5]",
            "[]",
            "line.speeds_m_s: expected at least one value",
            "Speeds the line runs at; the first is the usual one.",
        ),
        (
            "[1, 2.5]",
            "3",
            "line.speeds_m_s: expected a list, got a whole number",
            "Speeds the line runs at; the first is the usual one.",
        ),
        ('"test line"', '""', "name: expected at least one character", "How people call the line."),
    ],
)
def test_a_wrong_value_is_told_in_plain_words(old, new, said, help):
    with pytest.raises(InputError) as caught:
        parse_profile(GOOD.replace(old, new))
    [fault] = caught.value.diagnostics
    assert (fault.message, fault.help) == (said, help)


def test_files_that_cannot_be_read_are_faults(tmp_path: Path):
    (tmp_path / "latin.toml").write_bytes(b'name = "\xe9"')
    for path, code in [
        (tmp_path / "none.toml", "cannot-read"),
        (tmp_path, "not-a-file"),
        (tmp_path / "latin.toml", "not-text"),
    ]:
        with pytest.raises(InputError) as caught:
            load_profile(path)
        assert [d.code for d in caught.value.diagnostics] == [code]


@given(
    st.text(max_size=200)
    | st.builds(
        lambda i, s: GOOD[:i] + s + GOOD[i:],
        st.integers(0, 300),
        st.text("=[]\"'\n.#{}0x-", max_size=6),
    )
)
def test_no_text_makes_it_fail_otherwise(text):
    try:
        assert isinstance(parse_profile(text), LineProfile)
    except InputError as error:
        assert error.diagnostics


def test_places_follow_tables_and_arrays_of_tables():
    places = key_places(SourceText("p", GOOD))
    assert places["raster", 1, "firing"].line == 12
    assert places["raster", 0].text == "[[raster]]"
    assert places["name",].text == 'name = "test line"'


@pytest.mark.parametrize(
    ("text", "code"),
    [
        (".".join("a" * 20_000) + " = 1", "too-deep"),
        ("x = {" + " . ".join(["'a'"] * 9_000) + " = 1}", "too-deep"),
        ("[" + ".".join("a" * 20_000) + "]", "too-deep"),
        ("a = " + "[" * 30_000, "not-toml"),
        (GOOD.replace("15", "9" * 5_000), "not-toml"),
        (GOOD.replace("15", "9" * 4_000), "wrong-value"),
        (GOOD.replace("drops = 7", "drops = 0x" + "f" * 9_000), "wrong-value"),
        (GOOD.replace("15", "1e999"), "wrong-value"),
        (GOOD + "".join(f"k{i} = 1\n" for i in range(6_000)), "unknown-key"),
        (GOOD.replace("[1, 2.5]", f"[{'1,' * 20_000}]"), "wrong-value"),
        (GOOD.replace("[line]", "[[raster]]\ndrops = 5\n" * 2_000 + "[line]"), "wrong-value"),
        (GOOD + "k" * 40_000 + " = 1", "unknown-key"),
    ],
    ids=lambda text: text[:20],
)
def test_what_grows_without_bound_is_refused_in_few_words(text, code):
    start = time.process_time()
    with pytest.raises(InputError) as caught:
        parse_profile(text)
    assert time.process_time() - start < 2
    codes = [d.code for d in caught.value.diagnostics]
    assert code in codes
    assert len(codes) <= MAX_FAULTS + 1
    assert len(str(caught.value)) < 10_000


def test_no_more_is_read_than_a_profile_can_have(tmp_path):
    (tmp_path / "large.toml").write_text("#" * (MAX_PROFILE_BYTES + 1))
    os.mkfifo(tmp_path / "pipe.toml")
    for path, code in (
        (tmp_path / "large.toml", "too-large"),
        (tmp_path / "pipe.toml", "not-a-file"),
        ("/dev/zero", "not-a-file"),
        (tmp_path / ("n" * 300), "cannot-read"),
        ("a\0b.toml", "cannot-read"),
        ("a\ud800b.toml", "cannot-read"),
    ):
        with pytest.raises(InputError) as caught:
            load_profile(path)
        assert [d.code for d in caught.value.diagnostics] == [code], path


def numbers(kind, path=()):
    """Every number of a profile: its path, and whether it is whole."""
    for field in structs.fields(kind):
        struct, listed = struct_of(field.type)
        if struct:
            at = (*path, field.encode_name, *((0,) if listed else ()))
            yield from numbers(struct, at)
        elif "float" in str(field.type) or "'int'" in str(field.type):
            yield (*path, field.encode_name), "float" not in str(field.type), field.type


NUMBERS = list(numbers(LineProfile))


@pytest.mark.parametrize(("path", "whole", "kind"), NUMBERS, ids=lambda part: str(part)[:50])
def test_every_number_has_a_range(path, whole, kind):
    assert len(NUMBERS) > 30
    for value in (-1e308, 1e308, -(10**25), 10**25, *(() if path[-1] in FROM_ZERO else (5e-324,))):
        given = [value] if "list" in str(kind) else value
        with pytest.raises(msgspec.ValidationError):
            msgspec.convert(given if not whole else int(value), kind)


def test_a_colour_ends_where_it_ends():
    for ink in ("#000000\\n", "#0000000", "red", "#00000"):
        assert faults(GOOD + f'ink = "{ink}"\n') == [("wrong-value", 18)]


def test_the_schema_speaks_of_every_key_and_the_reference_too():
    # JSON Schema draft 2020-12: properties and required of every object
    schema = json.loads(json.dumps(json_schema()))
    definitions = schema["$defs"]
    assert schema["$ref"] == "#/$defs/LineProfile"
    text = reference()
    for definition in definitions.values():
        for key, value in definition.get("properties", {}).items():
            assert value.get("description") or "$ref" in json.dumps(value)
            assert key in text
    assert definitions["Head"]["required"] == [
        "drop_frequency_hz", "throw_mm", "row_pitch_mm", "drop_diameter_um",
    ]  # fmt: skip
