"""Check characters against published examples and python-stdnum."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum import damm, ean, luhn, verhoeff
from stdnum.iso7064 import mod_11_2, mod_11_10, mod_37_2, mod_37_36, mod_97_10

from rasterc.diagnostics import InputError
from rasterc.values.given.check_characters import (
    ALGORITHMS,
    ALPHANUMERIC,
    DIGITS,
    LETTERS,
    check_characters,
    find_algorithm,
)


def result(name: str, text: str) -> str:
    return check_characters(ALGORITHMS[name], text)


PUBLISHED = [
    # GS1, manual calculation of check digits (memory)
    ("gs1-mod10", "629104150021", "3"),
    ("gs1-mod10", "37610425002123456", "9"),
    # the usual example of the Luhn formula (memory)
    ("luhn", "7992739871", "3"),
    # examples of ISO/IEC 7064 (memory)
    ("iso7064-mod97-10", "794", "44"),
    ("iso7064-mod11-2", "0794", "0"),
    ("iso7064-mod37-2", "G123489654321", "Y"),
    ("iso7064-mod37-36", "A12425GABC1234002", "M"),
    ("iso7064-mod1271-36", "ISO79", "3W"),
    ("iso7064-mod661-26", "ISOHJ", "TC"),
    # the worked examples usually given for Verhoeff's and Damm's digits (memory)
    ("verhoeff", "236", "3"),
    ("damm", "572", "4"),
    # the usual example of the Code 39 check character (memory)
    ("code39-mod43", "CODE39", "W"),
]


@pytest.mark.parametrize(("name", "text", "expected"), PUBLISHED)
def test_published_examples(name, text, expected):
    assert result(name, text) == expected


# Independent implementations: python-stdnum.
LIBRARY = {
    "gs1-mod10": ean.calc_check_digit,
    "luhn": luhn.calc_check_digit,
    "verhoeff": verhoeff.calc_check_digit,
    "damm": damm.calc_check_digit,
    "iso7064-mod11-2": mod_11_2.calc_check_digit,
    "iso7064-mod37-2": mod_37_2.calc_check_digit,
    "iso7064-mod97-10": mod_97_10.calc_check_digits,
    "iso7064-mod11-10": mod_11_10.calc_check_digit,
    "iso7064-mod37-36": mod_37_36.calc_check_digit,
    "iso7064-mod27-26": lambda text: mod_37_36.calc_check_digit(text, LETTERS),
}


@pytest.mark.parametrize("name", LIBRARY)
@given(data=st.data())
def test_against_python_stdnum(name, data):
    text = data.draw(st.text(ALGORITHMS[name].alphabet, min_size=1, max_size=30))
    assert result(name, text) == LIBRARY[name](text)


# The algorithms python-stdnum lacks, against the defining congruence of their standards:
# the sum of value x radix ** place is 1 modulo M (ISO/IEC 7064, pure systems).
@pytest.mark.parametrize(
    ("name", "alphabet", "modulus"),
    [("iso7064-mod661-26", LETTERS, 661), ("iso7064-mod1271-36", ALPHANUMERIC, 1271)],
)
@given(data=st.data())
def test_defining_congruence(name, alphabet, modulus, data):
    text = data.draw(st.text(alphabet, min_size=1, max_size=30))
    number = 0
    for char in text + result(name, text):
        number = number * len(alphabet) + alphabet.index(char)
    assert number % modulus == 1


@pytest.mark.parametrize("name", ALGORITHMS)
def test_texts_of_any_length_have_a_check_character(name):
    # Python turns no more than 4,300 digits into a number
    algorithm = ALGORITHMS[name]
    for length in (2_000, 5_000, 20_000):
        text = (algorithm.alphabet * length)[1 : length + 1]
        assert len(check_characters(algorithm, text)) == len(result(name, text[:9]))


def test_every_algorithm_is_checked_from_outside():
    compared = {*LIBRARY, "iso7064-mod661-26", "iso7064-mod1271-36", "code39-mod43"}
    assert set(ALGORITHMS) == compared


@pytest.mark.parametrize("name", ALGORITHMS)
@given(data=st.data())
def test_results_are_in_the_stated_alphabet(name, data):
    algorithm = ALGORITHMS[name]
    text = data.draw(st.text(algorithm.alphabet, min_size=1, max_size=20))
    check = result(name, text)
    assert len(check) == algorithm.length
    assert set(check) <= set(algorithm.results)


@pytest.mark.parametrize("name", [n for n in ALGORITHMS if n != "code39-mod43"])
@given(data=st.data())
def test_one_wrong_character_is_always_found(name, data):
    """The property all these algorithms are published for."""
    alphabet = ALGORITHMS[name].alphabet
    if name == "iso7064-mod97-10":
        alphabet = DIGITS  # the standard defines it for digits; letters come as two digits each
    text = data.draw(st.text(alphabet, min_size=1, max_size=20))
    place = data.draw(st.integers(0, len(text) - 1))
    other = data.draw(st.sampled_from(alphabet))
    wrong = text[:place] + other + text[place + 1 :]
    assert (result(name, wrong) == result(name, text)) == (wrong == text)


def test_foreign_characters_are_all_named():
    with pytest.raises(InputError) as caught:
        result("gs1-mod10", "12a4-a")
    assert [d.code for d in caught.value.diagnostics] == ["foreign-character"] * 2
    assert '"a"' in caught.value.diagnostics[0].message
    assert "0-9" in caught.value.diagnostics[0].help


def test_nothing_to_check():
    with pytest.raises(InputError, match="nothing-to-check"):
        result("luhn", "")


def test_unknown_algorithm_names_the_nearest():
    with pytest.raises(InputError, match='did you mean "luhn"'):
        find_algorithm("lunh", None)
