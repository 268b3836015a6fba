"""Mistakes that put a wrong or unreadable date on a product, each found and each remedy tried."""

from datetime import date

import pytest
from babel.dates import get_month_names

from rasterc.api import load_text
from rasterc.checks.registry import all_rules
from rasterc.checks.survey import survey
from rasterc.diagnostics import Severity

DUBLIN = 'clock p in "Europe/Dublin"\n{}\nblock {{ {} }}'


def dangers(bench, declared, line, rule, **more):
    return bench.findings(DUBLIN.format(declared, line), rule, **more)


@pytest.mark.parametrize(
    "label",
    [
        "USE BY", "use-by:", "BEST BEFORE", "BEST BEFORE END:", "Best before end of", "EXP", "EXP.",
        "BBE", "À CONSOMMER JUSQU'AU", "A CONSOMMER DE PREFERENCE AVANT LE", "MHD",
        "ZU VERBRAUCHEN BIS", "MINDESTENS HALTBAR BIS ENDE", "(17)", "(15)", "L1 USE BY",
    ],
)  # fmt: skip
def test_a_date_to_which_it_keeps_lies_ahead(bench, label):
    rule = "expired-when-made"
    line = f'line: "{label} " e(dd MMM yyyy)'
    [finding] = dangers(bench, "clock e = p - 30 days", line, rule)
    assert finding.severity is Severity.ERROR
    assert "30 days before it is made" in finding.message
    assert dangers(bench, "clock e = p + 0 days", line, rule)
    assert dangers(bench, "clock e = p + 1 day to month start", line, rule)
    assert dangers(bench, "clock e = p + 1 day", line, rule) == []


@pytest.mark.parametrize("label", ["PACKED", "USE BY LID, PACKED", "USE BY 1", "EXPORT", "L", ""])
def test_other_dates_may_lie_behind(bench, label):
    line = f'line: "{label} " e(dd MMM yyyy)'
    assert dangers(bench, "clock e = p - 30 days", line, "expired-when-made") == []


def test_two_dates_in_each_others_place(bench):
    lines = 'line: "BEST BEFORE " {}(dd MMM yyyy) " PACKED " {}(dd MMM yyyy)'
    later = "clock b = p + 90 days"
    [finding] = dangers(bench, later, lines.format("p", "b"), "expired-when-made")
    assert finding.span.text == "p(dd MMM yyyy)"
    assert "and is the day it is made" in finding.message
    assert finding.remedy == 'let p and b change places: b is the later one, and stands after ' \
        '"PACKED"'  # fmt: skip
    assert dangers(bench, later, lines.format("b", "p"), "expired-when-made") == []


def test_the_words_may_stand_on_the_line_above(bench):
    found = [
        dangers(bench, "clock e = p - 1 day", f'line: "{above}" line: e(dd MMM yyyy) " " p(dd MMM)',
                "expired-when-made", raster=16)
        for above in ("USE BY", "ZU VERBRAUCHEN BIS:", "PACKED  USE BY", "PACKED")
    ]  # fmt: skip
    assert [len(each) for each in found] == [1, 1, 0, 0]


def test_a_date_is_read_to_its_end(bench):
    rule, line = "expired-when-made", 'line: "USE BY " e({})'
    for pattern, behind in [("MMM yyyy", False), ("yyyy", False), ("dd MMM", True)]:
        assert bool(dangers(bench, "clock e = p", line.format(pattern), rule)) is behind
    # 14:05 plus 6 hours is still the same day, and later; minus 6 hours is not
    timed = line.format("dd MMM HH:mm")
    assert dangers(bench, "clock e = p + 6 hours", timed, rule) == []
    assert dangers(bench, "clock e = p - 6 hours", timed, rule)
    assert dangers(bench, "clock e = p + 6 hours", line.format("dd MMM"), rule)


def test_a_fixed_date_on_the_day_itself(bench):
    line = 'line: "USE BY " e(dd MMM yyyy) " " p(HH:mm)'
    assert dangers(bench, "clock e = 2027-11-25", line, "expired-when-made")
    assert dangers(bench, "clock e = 2027-11-26", line, "expired-when-made") == []
    behind = bench.findings(DUBLIN.format("clock e = 2027-11-24", line))
    assert {f.rule for f in behind if f.severity is Severity.ERROR} == {"expired-date"}


FIXED = 'clock best = 2028-06-15\n{}\nblock {{ line: "EXP " best({}) }}'


@pytest.mark.parametrize(
    ("pattern", "first"), [("dd MMM yyyy", date(2028, 6, 16)), ("MMM yyyy", date(2028, 7, 1))]
)
@pytest.mark.parametrize("clock", ["", 'clock p in "Europe/Dublin" block { line: p(HH:mm) }'])
def test_a_survey_names_the_first_day_on_which_a_fixed_date_is_over(bench, pattern, first, clock):
    def found(at, years):
        report = survey(bench.subject(FIXED.format(clock, pattern), at=at), years).report
        return [f for f in report.findings if f.rule == "expired-date"]

    [finding] = found("2027-11-25 14:05", 1)
    assert f"from {first} on" in finding.message
    if clock:
        assert finding.at.startswith(f"{first} 00:00")
    assert found("2026-11-25 14:05", 1) == []  # beyond the horizon
    [finding] = found("2030-01-01 00:00", 1)
    assert f"from {first} on" in finding.message


def test_a_message_with_a_fixed_date_that_holds_has_one_instant(bench):
    at_all = survey(bench.subject(FIXED.format("", "dd MMM yyyy"), at="2027-11-25 14:05"), 5)
    assert [str(when.date()) for when in at_all.instants] == ["2027-11-25", "2028-06-16"]


@pytest.mark.parametrize(
    ("field", "said"),
    [
        ("e(MMM, in de, first 2, upper)", '"JU" stands for months 6 (Juni) and 7 (Juli)'),
        ("e(dd MMM, first 5)", '"Ma" stands for months 3 (Mar) and 5 (May)'),
        ("e(MMMMM)", '"J" stands for months 1, 6 and 7'),
        ("e(LLLL, in fr, first 2)", '"ju" stands for months 6 (juin) and 7 (juillet)'),
        ("e(M, last 1)", '"1" stands for months 1 and 11'),
        ("e(EEE, first 1)", '"T" stands for weekdays 2 (Tue) and 4 (Thu)'),
        ("e(MMM, upper)", None),
        ("e(MMM, in de, first 3, upper)", None),
        ("e(MMMM, in pl)", None),
        ("e(dd MMM, first 2)", None),  # no month is left
        ('e(MMM, first 2) " " e(yyDDD)', None),
        ('e(MMM, first 2) " " e(MM)', None),
        ('e(dd MMM EEE, first 8)', None),  # the date tells the weekday
        ("e(EEEEE dd MM)", None),
    ],
)  # fmt: skip
def test_names_are_cut_so_that_they_can_be_told_apart(bench, field, said):
    found = dangers(bench, "clock e = p + 9 days", f"line: {field}", "names-cut-alike")
    if said is None:
        assert found == []
    else:
        [finding] = found
        assert finding.severity is Severity.ERROR
        assert said in finding.message
        assert "e(" in finding.remedy


def test_two_languages_lose_different_names(bench):
    # Babel's German and English names: Jun/Jul and Mär/Mai against Jun/Jul and Mar/May
    for language in ("de", "en", "sv", "cs"):
        names = get_month_names("abbreviated", "format", language).values()
        short = [name[:2].upper() for name in names]
        alike = {text for text in short if short.count(text) > 1}
        line = f"line: e(MMM, in {language}, first 2, upper)"
        found = dangers(bench, "clock e = p + 9 days", line, "names-cut-alike")
        said = "".join(finding.message for finding in found)
        assert {text for text in short if f'"{text}" stands' in said} == alike


TABLE = "table t from 1{}\nclock e = p + 9 days"


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        (', letters "ABCDEFGHJKLL"', '"L" stands for the keys 11 and 12 of table t'),
        (', letters "AACDEFGHJKLA"', '"A" stands for the keys 1, 2 and 12'),
        (' { "X" "X" "Y" "Z" "1" "2" "3" "4" "5" "6" "7" "8" }', "keys 1 and 2"),
        (', letters "AAAAAAAAAAAA"', "keys 1, 2, 3"),
        (', letters "ABCDEFGHJKLM"', None),
        (', letters "AAABBBCCCDDD"', None),  # quarters: every letter stands for several
    ],
)
def test_every_key_of_a_table_has_a_text_of_its_own(bench, rows, said):
    found = dangers(bench, TABLE.format(rows), 'line: "L" e(yy) e(M, table t)', "same-text-twice")
    assert bool(found) is bool(said)
    assert said is None or said in found[0].message


@pytest.mark.parametrize(
    ("letters", "instead"),
    [
        ("ABCDEFGHIJKL", "ABCDEFGHJKLM"),
        ("NOPQRSTUVWXY", "NPQRSTUVWXYZ"),
        ("LIKEHANDSOFC", "LKEHANDSFCTU"),
    ],
)
def test_letters_left_out_of_a_table_are_replaced(bench, letters, instead):
    def found(these):
        declared = TABLE.format(f', letters "{these}"')
        return dangers(bench, declared, 'line: "L" e(yy) e(M, table t)', "letters-like-digits")

    assert found(letters)[0].remedy.endswith(f'letters "{instead}"')
    assert len(instead) == len(letters)
    assert found(instead) == []


DAY = 'clock packed in "{}"{}\n{}\nblock {{ line: packed({}) {} }}'


@pytest.mark.parametrize(
    ("zone", "start", "found"),
    [
        ("Europe/Berlin", "02:30", True),  # Directive 2000/84/EC: 03:00 back to 02:00
        ("Europe/Berlin", "02:00", False),
        ("Europe/Berlin", "03:00", False),
        ("Europe/Berlin", "01:30", False),
        ("Europe/Dublin", "01:30", True),
        ("UTC", "02:30", False),
    ],
)
def test_a_day_does_not_begin_inside_the_hour_that_comes_twice(bench, zone, start, found):
    def begins(pattern, more="", printed=""):
        body = DAY.format(zone, f", day from {start}", more, pattern, printed)
        return bench.findings(body, "begins-in-repeated-hour")

    assert bool(begins("dd MMM yyyy")) is found
    assert begins("HH:mm") == []  # no day is printed
    assert bool(begins("HH:mm", "counter n from 1 to 9, restart daily of packed", "n")) is found


def test_the_day_does_run_backwards_there(bench):
    body = DAY.format("Europe/Berlin", ", day from 02:30", "", "dd", "")
    days = [
        bench.subject(body, at=f"2027-10-31 {time}").resolved.lines[0]
        for time in ("02:29+02:00", "02:30+02:00", "02:29+01:00", "02:30+01:00")
    ]
    assert days == ["30", "31", "30", "31"]


@pytest.mark.parametrize(
    ("part", "found"),
    [
        ('"B" from 02:30', True),
        ('"B" from 02:00', False),
        ('"B" from 02:30 on mon to fri', False),  # clocks change on Sundays
        ('"B" from 02:30 on sun', True),
    ],
)
def test_nor_does_a_shift(bench, part, found):
    crew = f'shift crew of packed {{ "A" from 10:00 {part} }}'
    body = DAY.format("Europe/Berlin", "", crew, "HH:mm", "crew")
    assert bool(bench.findings(body, "begins-in-repeated-hour")) is found


def test_twelve_hours_beside_twenty_four(bench):
    def found(line):
        return dangers(bench, "", f"line: {line}", "twelve-hour-clock")

    assert found("p(hh:mm)")
    for line in ('p(hh:mm) " " p(HH)', 'p(KK:mm) " " p(kk)', "p(hh:mm a)"):
        assert found(line) == []
    other = 'line: p(hh:mm) " " q(HH)'  # another clock's hour tells nothing of this one
    assert dangers(bench, "clock q = p + 5 hours", other, "twelve-hour-clock")


def test_a_year_that_is_first_already_is_not_the_remedy(bench):
    later = "clock b = p + 100 days"
    [finding] = dangers(bench, later, "line: b(yyMMdd)", "ambiguous-date")
    assert "year first" not in finding.remedy
    assert "the year in four digits, yyyy-MM-dd" in finding.remedy
    [finding] = dangers(bench, later, "line: b(dd/MM/yy)", "ambiguous-date")
    assert "the year first, yyyy-MM-dd" in finding.remedy


@pytest.mark.parametrize(
    ("declared", "line", "said"),
    [
        ("clock e = p - 3 days", '"USE BY " e(MMM yyyy)', "there is no lot"),
        ("clock e = p - 3 days", '"USE BY " e(dd MMM yyyy)', None),
        ("clock e = p + 9 days\nclock f = 2027-06-01",
         '"BEST BEFORE END " e(MMM yyyy) " " f(yyyy)', "there is no lot"),
        ("clock e = p + 9 days\ntable t from 1, letters \"ABCDEFGHJKLM\"",
         '"BEST BEFORE END " e(MMM yyyy) " " p(M, table t)', "there is no lot"),
        ("clock e = p + 9 days",
         '"BEST BEFORE END " e(MMM yyyy) " " p(yyDDD)', 'the lot "27329" has no L'),
    ],
)  # fmt: skip
def test_what_is_called_a_lot(bench, declared, line, said):
    found = dangers(bench, declared, f"line: {line}", "lot-mark", rules=["eu-food"])
    assert bool(found) is bool(said)
    assert said is None or said in found[0].message


def test_an_inverse_line_without_room_for_its_border_does_not_fit(bench):
    body = 'block { line inverse: "LOT 7" }'
    [finding] = bench.findings(body, "raster-overflow")
    assert "raster 9" in finding.remedy
    raised = body.replace("inverse", "inverse font upright-7")
    assert bench.findings(raised, "raster-overflow", raster=9) == []


@pytest.mark.parametrize("rule", all_rules().values(), ids=list(all_rules()))
def test_a_rule_that_needs_a_profile_says_so(rule):
    """So that the silence of one that does is not called unused without a profile."""
    example = rule.trips
    printed = load_text(example.message).resolve(example.at, inputs=example.inputs)
    if rule.can_be_silenced:
        assert rule.needs_profile is not any(
            f.rule == rule.id for f in rule.check(printed.subject())
        )
