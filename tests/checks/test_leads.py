"""Words before dates and lots, and dates written by hand, against what texts give as valid."""

from datetime import date

import pytest

from rasterc.checks.printed.introduced import Surroundings, introduction
from rasterc.checks.printed.lead_words import Kind, known_leads, leads_at_end, leads_within
from rasterc.checks.printed.written import month_named, written_dates
from rasterc.checks.rules.dates.names_out_of_order import misplaced
from rasterc.checks.rules.leads.lead_misspelt import nearest_lead
from rasterc.values.dates.languages import LANGUAGES, find_names

# the official languages of the Union: Regulation No 1, Article 1; ISO 639-1 (mt: Maltese)
UNION = {
    *("bg", "cs", "da", "de", "el", "en", "es", "et", "fi", "fr", "ga", "hr"),
    *("hu", "it", "lt", "lv", "mt", "nl", "pl", "pt", "ro", "sk", "sl", "sv"),
}
SOURCES = {"annex-x", "repealed", "secondary", "2295/2003", "2011/91", "common", "memory"}


def test_every_language_of_the_union_has_its_words_and_every_word_its_source():
    leads = known_leads()
    assert {lead.language for lead in leads if lead.kind is Kind.BEST_BEFORE} >= UNION
    assert {lead.language for lead in leads if lead.kind is Kind.USE_BY} >= UNION - {"mt", "ga"}
    assert {lead.language for lead in leads if lead.kind is Kind.BEST_BEFORE_END} >= UNION - {
        "mt", "ga",
    }  # fmt: skip
    assert {lead.source for lead in leads} == SOURCES
    assert len({(one.language, one.kind, one.plain, one.after) for one in leads}) == len(leads)


@pytest.mark.parametrize("lead", known_leads(), ids=lambda lead: f"{lead.language} {lead.words}")
def test_a_known_lead_is_found_as_it_is_written_and_in_capitals(lead):
    for text in (lead.words, f"{lead.words.upper()}: ", f"500 g {lead.words} "):
        kinds = {found.kind for found in leads_at_end(text)}
        assert lead.kind in kinds or len(leads_at_end(text)[0].plain) > len(lead.plain)
        assert nearest_lead(text) is None


@pytest.mark.parametrize(
    "words",
    ["RIPE", "BAKED", "MADE IN IRELAND", "BATCH SIZE", "LOTION", "CHANGE", "CEM II 42.5 N", "NET",
     "BOTTLED IN", "FABRIQUÉ EN", "PRODOTTO DA", "PARTY", "USER", "VALUE", "KW", "TANK 5", ""],
)  # fmt: skip
def test_other_words_are_no_slips(words):
    assert nearest_lead(words) is None
    assert leads_at_end(words) == ()


@pytest.mark.parametrize(
    ("text", "days"),
    [
        # Chamber of commerce of Turin, guide to labels, 3.5
        ("entro il 27 settembre 2016", [date(2016, 9, 27)]),
        ("entro fine settembre 2016", [date(2016, 9, 30)]),
        # bakkerswereld.nl, 2009
        ("10 november 2009", [date(2009, 11, 10)]), ("10 november 09", [date(2009, 11, 10)]),
        ("10 nov. 2009", [date(2009, 11, 10)]), ("tot nov. 09", [date(2009, 11, 30)]),
        ("10-11-2009", [date(2009, 10, 11), date(2009, 11, 10)]),
        # ontapadomatricakeszites.hu; zarasuose.lt
        ("1.12.15", [date(2015, 1, 12), date(2015, 12, 1)]), ("17 02 2023", [date(2023, 2, 17)]),
        # GB 7718-2025, 4.7.3
        ("2026年01月01日", [date(2026, 1, 1)]), ("2026-01-01", [date(2026, 1, 1)]),
        # rxtrace.com, April 2019: a month alone holds to its last day
        ("08/20", [date(2020, 8, 31)]),
        ("31 FEB 2029", []),
    ],
)  # fmt: skip
def test_dates_that_texts_give_as_valid_are_read(text, days):
    [one] = written_dates(text)
    assert list(one.days) == days


@pytest.mark.parametrize(
    "text", ["EN 1519-1:2019", "EN 1519-1 PP 110X2.7", "ISO 9001", "3G1.5 300/500V", "1-DE-1234501",
             "SINCE 1987", "PE100 SDR11", "4711-08-15-3", "TEL 01 234 56 78", "2.49 EUR"],
)  # fmt: skip
def test_numbers_that_are_no_dates_are_left_alone(text):
    assert written_dates(text) == ()


@pytest.mark.parametrize("language", LANGUAGES)
def test_dates_are_read_in_every_shipped_language(language):
    for number, name in enumerate(find_names(language, None).months["format wide"], 1):
        [one] = written_dates(f"5 {name} 2027")
        assert one.days == (date(2027, number, 5),)
        assert month_named(name.upper()) == number


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("form", ["format wide", "format abbreviated"])
def test_names_in_their_order_are_left_alone(language, form):
    for kind in ("months", "days"):
        names = getattr(find_names(language, None), kind)[form]
        rows = {str(number): name.upper() for number, name in enumerate(names, 1)}
        assert misplaced(rows, kind) == []
        texts = [*names[1:2], *names[0:1], *names[2:]]
        if len({name[:2] for name in names[:2]}) == 2:
            swapped = {str(number): name.upper() for number, name in enumerate(texts, 1)}
            assert [row[0] for row in misplaced(swapped, kind)] == ["1", "2"]


def test_words_are_found_where_a_person_finds_them():
    assert introduction(Surroundings(), "LOT A1 EXP ", " EXP ") == " EXP "
    above = Surroundings(above=("PACKED", "BEST"))
    assert introduction(above, "BEFORE ", "BEFORE ") == "BEST BEFORE "
    both = Surroundings(left=("PACKED", "USE BY"), level="PACKED")
    assert introduction(both, "", "") == "PACKED"
    assert introduction(Surroundings(left=("BEST", "BEFORE")), "", "") == "BEST BEFORE"
    assert introduction(Surroundings(above=("PACKED  USE BY",)), "", "") == ""
    assert introduction(Surroundings(above=("USE BY",)), "24 JAN 2027 ", " ") == ""


def test_a_lead_within_another_is_not_one_of_its_own():
    assert {lead.kind for lead in leads_within("Najbolje upotrijebiti do ")} == {Kind.BEST_BEFORE}
    both = {lead.kind for lead in leads_within("USE BY / BEST BEFORE ")}
    assert both == {Kind.USE_BY, Kind.BEST_BEFORE}
