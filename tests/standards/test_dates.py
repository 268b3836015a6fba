"""Dates against published values and general libraries."""

from datetime import date, datetime

import pytest
from babel import Locale
from babel.core import get_cldr_version
from babel.dates import format_date, format_time
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from rasterc.resources import resource_dir
from rasterc.source.times import ShortMonth
from rasterc.values.dates.clocks import ClockValue, fixed_clock
from rasterc.values.dates.languages import LANGUAGES, cldr_release, find_names
from rasterc.values.dates.patterns import LETTERS, parse_pattern
from rasterc.values.dates.steps import add_months
from rasterc.values.fields.casing import lower, upper

CLDR_RELEASE = cldr_release()
of_one_cldr = pytest.mark.skipif(
    get_cldr_version() != CLDR_RELEASE,
    reason=f"NOT COMPARED: names are frozen from CLDR {CLDR_RELEASE}, this Babel brings "
    f"{get_cldr_version()}; `make names` takes it in",
)

DATES = st.dates(date(1, 1, 1), date(9999, 12, 31))
MODERN = st.dates(date(1900, 1, 1), date(2199, 12, 31))

# A territory for each language whose weeks are those of ISO 8601 (CLDR supplemental data:
# weeks begin on Monday and have at least four days in the year they belong to).
ISO_WEEKS = {
    "cs": "cs_CZ", "de": "de_DE", "el": "el_GR", "en": "en_IE", "es": "es_ES", "fi": "fi_FI",
    "fr": "fr_FR", "it": "it_IT", "nl": "nl_NL", "pl": "pl_PL", "ru": "ru_RU", "sv": "sv_SE",
}  # fmt: skip


def forms(lengths: dict[str, str]) -> list[str]:
    return [letter * int(n) for letters, ns in lengths.items() for letter in letters for n in ns]


DAY_FORMS = forms(
    {"GML": "12345", "y": "124", "d": "12", "D": "123", "Qq": "12", "E": "123456", "ec": "3456"}
)
WEEK_FORMS = forms({"w": "12", "Y": "124", "e": "12", "c": "1"})
TIME_FORMS = forms({"a": "12345", "hHkKms": "12"})


def printed(pattern: str, value: ClockValue, language: str) -> str:
    return parse_pattern(pattern, None, find_names(language, None)).render(value)


def plain(text: str) -> str:
    """CLDR's no-break spaces are plain ones on a code."""
    return text.replace("\u00a0", " ").replace("\u202f", " ")


def test_all_names_are_frozen_from_one_cldr():
    assert {find_names(language, None).cldr_release for language in LANGUAGES} == {CLDR_RELEASE}


def test_the_reference_names_that_cldr():
    text = (resource_dir("grammar") / "README.md").read_text(encoding="utf-8")
    assert f"Unicode CLDR, release {CLDR_RELEASE}," in text


@of_one_cldr
def test_frozen_names_are_those_of_babel():
    for language in LANGUAGES:
        ours, locale = find_names(language, None), Locale(language)
        for kind, keys in (("months", range(1, 13)), ("days", range(7))):
            for form, names in getattr(ours, kind).items():
                context, width = form.split()
                theirs = getattr(locale, kind)[context][width]
                assert names == tuple(plain(theirs[key]) for key in keys), (language, form)


@of_one_cldr
@pytest.mark.parametrize("language", LANGUAGES)
def test_half_days_without_a_width_of_their_own_are_the_abbreviated_ones(language):
    """CLDR, common/main/root.xml: wide and narrow dayPeriods are aliases of the abbreviated."""
    own = Locale(language).day_periods["format"]
    for count, width in ((1, "abbreviated"), (4, "wide"), (5, "narrow")):
        names = {**own["abbreviated"], **own[width]}
        for hour, half in ((0, "am"), (11, "am"), (12, "pm"), (23, "pm")):
            value = ClockValue(datetime(2027, 11, 25, hour), date(2027, 11, 25))
            assert printed("a" * count, value, language) == plain(names[half])


@of_one_cldr
@pytest.mark.parametrize("form", DAY_FORMS)
@given(day=MODERN)
def test_dates_as_babel_formats_them(form, day):
    for language in LANGUAGES:
        assert printed(form, fixed_clock(day), language) == plain(format_date(day, form, language))


@pytest.mark.parametrize("form", WEEK_FORMS)
@given(day=MODERN)
def test_weeks_as_babel_formats_them_where_weeks_are_iso(form, day):
    for language, locale in ISO_WEEKS.items():
        assert printed(form, fixed_clock(day), language) == format_date(day, form, locale)


@given(day=DATES)
def test_iso_week_dates_in_every_language(day):
    """ISO 8601 week dates, as Python's own calendar has them."""
    year, week, weekday = day.isocalendar()
    for language in LANGUAGES:
        text = printed("YYYY-'W'ww-e", fixed_clock(day), language)
        assert text == f"{year:04}-W{week:02}-{weekday}"


@of_one_cldr
@pytest.mark.parametrize("form", [f for f in TIME_FORMS if f != "aaaa"])  # see above: half-days
@given(moment=st.datetimes(datetime(1900, 1, 1), datetime(2199, 1, 1)))
def test_times_as_babel_formats_them(form, moment):
    value = ClockValue(moment, moment.date())
    for language in LANGUAGES:
        assert printed(form, value, language) == plain(format_time(moment, form, locale=language))


@of_one_cldr
@given(
    day=MODERN,
    pieces=st.lists(st.sampled_from(["dd", "MMM", "yyyy", "''", "'o''clock'", ", "]), max_size=18),
)
def test_patterns_of_several_parts(day, pieces):
    pattern = " ".join(pieces) or "d"
    assert printed(pattern, fixed_clock(day), "de") == format_date(day, pattern, "de")


def test_every_letter_is_compared_with_a_library():
    ours = {letter * count for letter, entry in LETTERS.items() for count in entry.counts}
    assert ours == {*DAY_FORMS, *WEEK_FORMS, *TIME_FORMS}


# ISO 8601, examples of week dates (published 2004 to 2010 rows; the rest by datetime.isocalendar).
WEEK_DATES = {
    "2005-01-01": "2004-W53-6",
    "2005-01-02": "2004-W53-7",
    "2005-12-31": "2005-W52-6",
    "2006-01-01": "2005-W52-7",
    "2007-01-01": "2007-W01-1",
    "2007-12-30": "2007-W52-7",
    "2008-01-01": "2008-W01-2",
    "2008-12-28": "2008-W52-7",
    "2008-12-29": "2009-W01-1",
    "2009-12-31": "2009-W53-4",
    "2010-01-03": "2009-W53-7",
    "2026-12-31": "2026-W53-4",
    "2027-01-01": "2026-W53-5",
}


@pytest.mark.parametrize(("day", "week_date"), WEEK_DATES.items())
def test_published_week_dates(day, week_date):
    value = fixed_clock(date.fromisoformat(day))
    assert printed("YYYY-'W'ww-e", value, "en") == week_date


@pytest.mark.parametrize(
    ("day", "ordinal"),
    [("2004-12-31", 366), ("2020-12-31", 366), ("2026-12-31", 365), ("2008-12-29", 364)],
)
def test_ordinal_dates(day, ordinal):
    """ISO 8601 ordinal dates; values counted with Python's calendar."""
    assert printed("DDD", fixed_clock(date.fromisoformat(day)), "en") == str(ordinal)


@given(day=st.dates(date(1000, 1, 1), date(8999, 12, 31)), months=st.integers(-11000, 11000))
def test_months_end_on_the_last_day_as_in_dateutil(day, months):
    assert add_months(day, months) == day + relativedelta(months=months)


@given(day=st.dates(date(1000, 1, 1), date(8999, 12, 31)), months=st.integers(-11000, 11000))
def test_carried_and_next_days_by_counting(day, months):
    """Independent count: the excess days after the first of the month."""
    start = day.replace(day=1) + relativedelta(months=months)
    wanted = start + relativedelta(days=day.day - 1)
    following = start + relativedelta(months=1)
    assert add_months(day, months, ShortMonth.CARRY) == wanted
    assert add_months(day, months, ShortMonth.NEXT_DAY) == min(wanted, following)


@pytest.mark.parametrize(
    ("start", "months", "end"),
    [
        ("2028-01-31", 1, "2028-02-29"),
        ("2027-01-31", 1, "2027-02-28"),
        ("2028-02-29", 12, "2029-02-28"),
        ("2027-08-31", 18, "2029-02-28"),
    ],
)
def test_month_ends(start, months, end):
    """Values computed with dateutil 2.9."""
    assert add_months(date.fromisoformat(start), months) == date.fromisoformat(end)


# CLDR abbreviated months, as computed with Babel 2.18 when the expectations were written.
ABBREVIATED = {
    "de": "Jan. Feb. März Apr. Mai Juni Juli Aug. Sept. Okt. Nov. Dez.",
    "fr": "janv. févr. mars avr. mai juin juil. août sept. oct. nov. déc.",
    "pl": "sty lut mar kwi maj cze lip sie wrz paź lis gru",
    "cs": "led úno bře dub kvě čvn čvc srp zář říj lis pro",
    "fi": "tammi helmi maalis huhti touko kesä heinä elo syys loka marras joulu",
    "el": "Ιαν Φεβ Μαρ Απρ Μαΐ Ιουν Ιουλ Αυγ Σεπ Οκτ Νοε Δεκ",
    "tr": "Oca Şub Mar Nis May Haz Tem Ağu Eyl Eki Kas Ara",
}


@pytest.mark.parametrize(("language", "names"), ABBREVIATED.items())
def test_abbreviated_months(language, names):
    got = [
        printed("MMM" if language != "fi" else "LLL", fixed_clock(date(2027, m, 1)), language)
        for m in range(1, 13)
    ]
    assert got == names.split()


@pytest.mark.parametrize(
    ("language", "text", "capitals"),
    [
        ("el", "Μαΐ", "ΜΑΪ"),  # the dialytika stays, the tonos goes
        ("el", "Μάιος", "ΜΑΪΟΣ"),  # the tonos gone, a dialytika keeps the vowels apart
        ("el", "Μαΐου", "ΜΑΪΟΥ"),
        ("el", "Ιανουάριος", "ΙΑΝΟΥΑΡΙΟΣ"),
        ("el", "Δευτέρα", "ΔΕΥΤΕΡΑ"),
        ("tr", "Haziran", "HAZİRAN"),
        ("tr", "kasım", "KASIM"),
        ("de", "Straße", "STRASSE"),
        ("de", "März", "MÄRZ"),
        ("fr", "août", "AOÛT"),
        ("en", "i", "I"),
    ],
)
def test_capitals_by_language(language, text, capitals):
    """Unicode SpecialCasing.txt for Turkish and German; Greek from memory of Unicode's ICU."""
    assert upper(text, language) == capitals


@pytest.mark.parametrize(
    ("language", "text", "small"),
    [("tr", "IŞIK İN", "ışık in"), ("el", "ΜΑΪΟΣ", "μαϊος"), ("en", "I", "i")],
)
def test_small_letters_by_language(language, text, small):
    """Unicode SpecialCasing.txt."""
    assert lower(text, language) == small


@pytest.mark.parametrize("language", LANGUAGES)
def test_languages_are_those_of_cldr(language):
    assert Locale(language).language == language
