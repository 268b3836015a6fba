"""Rules of content at their limits, and the messages they must leave alone."""

import pytest

from rasterc.api import load_text
from rasterc.checks.model import EXAMPLE_PROFILE

DUBLIN = 'clock packed in "Europe/Dublin", day from 06:00\n'
DAYS = "clock best = packed + 100 days\n"


def letters(bench, pattern, clock="packed"):
    return {f.rule for f in bench.findings(DUBLIN + DAYS + f"block {{ line: {clock}({pattern}) }}")}


@pytest.mark.parametrize(
    "pattern", ["yyyy-MM-dd", "dd MMM yyyy", "MMM yyyy", "dd.MMM.yyyy", "yyyyMMdd", "MMMM"]
)
def test_dates_that_are_read_in_one_way(bench, pattern):
    quiet = {"ambiguous-date", "month-before-day", "two-digit-year"}
    assert not letters(bench, pattern, "best") & quiet


@pytest.mark.parametrize(
    ("pattern", "rule"),
    [
        ("dd/MM/yy", "ambiguous-date"),
        ("d/M/yyyy", "ambiguous-date"),
        ("dd-MM-yy", "ambiguous-date"),
        ("dd.MM.yy", "two-digit-year"),
        ("ddMMyy", "ambiguous-date"),
        ("dd/MM", "ambiguous-date"),
        ("yyMMdd", "ambiguous-date"),
        ("MM/dd/yy", "month-before-day"),
        ("MM-dd", "month-before-day"),
        ("MM/yy", "two-digit-year"),
        ("dd MMM yy", "two-digit-year"),
    ],
)
def test_dates_that_are_not(bench, pattern, rule):
    found = letters(bench, pattern, "best")
    assert found & {"ambiguous-date", "month-before-day", "two-digit-year"} == {rule}


def test_a_production_code_without_signs_is_no_date_to_read(bench):
    assert not letters(bench, "yyMMdd") & {"ambiguous-date", "month-before-day", "two-digit-year"}
    assert "ambiguous-date" in letters(bench, "dd/MM/yy")


@pytest.mark.parametrize(
    ("pattern", "rule"),
    [
        ("YYYY", "week-year"),
        ("MMM YYYY", "week-year"),
        ("YY-DDD", "week-year"),
        ("yyyy'W'ww", "week-with-calendar-year"),
        ("yyww", "week-with-calendar-year"),
        ("D", "day-of-year-letter"),
        ("DD MMM", "day-of-year-letter"),
        ("DDD", "day-of-year-without-year"),
        ("dd/mm/yyyy", "minutes-for-month"),
        ("yyyymmdd", "minutes-for-month"),
        ("HH:MM", "month-for-minutes"),
        ("yyyyMMdd HH:MM:ss", "month-for-minutes"),
        ("hh:mm", "twelve-hour-clock"),
        ("KK:mm", "twelve-hour-clock"),
    ],
)
def test_letters_that_were_not_meant(bench, pattern, rule):
    assert rule in letters(bench, pattern)


@pytest.mark.parametrize(
    "pattern",
    [
        "YYYY'W'ww", "YYYY-'W'ww-e", "yyDDD", "yyyy-DDD", "yyyyMMddHHmm", "dd MMM yyyy HH:mm",
        "hh:mm a", "mm:ss", "HHmm", "yyMMHH", "kk:mm",
    ],
)  # fmt: skip
def test_letters_that_were_meant(bench, pattern):
    suspicious = {
        "week-year", "week-with-calendar-year", "day-of-year-letter", "day-of-year-without-year",
        "minutes-for-month", "month-for-minutes", "twelve-hour-clock",
    }  # fmt: skip
    assert not letters(bench, pattern) & suspicious


def test_a_date_must_not_promise_more_than_the_shelf_life(bench):
    def beyond(life, pattern, days):
        body = DUBLIN + f"clock best = packed + {life}\nblock {{ line: best({pattern}) }}"
        return bench.findings(body, "beyond-shelf-life", product=f"shelf_life_days = {days}\n")

    # 25 November 2027 + 90 days = 23 February 2028; the month ends on the 29th, day 96
    assert beyond("90 days", "dd MMM yyyy", 90) == []
    assert beyond("91 days", "dd MMM yyyy", 90)[0].measured == 91
    [finding] = beyond("90 days to month end", "dd MMM yyyy", 90)
    assert (finding.measured, finding.limit) == (96, 90)
    assert "without `to month end`" in finding.remedy
    # without its day the date is read as the end of the month, or of the year
    assert beyond("90 days", "MMM yyyy", 90)[0].measured == 96
    assert beyond("90 days", "yyyy", 90)[0].measured == 402
    assert beyond("90 days", "MMM yyyy", 96) == []


def test_a_code_comes_again_with_the_part_of_the_year_it_leaves_out(bench):
    def again(line, days, declared=""):
        body = f"{DUBLIN}{declared}\nblock {{ line: {line} }}"
        product = f"shelf_life_days = {days}\n"
        return bench.findings(body, "repeats-within-shelf-life", product=product)

    assert again("packed(ddMMM)", 364) == []
    assert again("packed(ddMMM)", 365)[0].measured == 365
    assert again("packed(y, last 1) packed(DDD)", 3649) == []
    assert again("packed(y, last 1) packed(DDD)", 3650)
    assert again("packed(yyDDD)", 3650) == []
    assert again("packed(EEE)", 7)
    assert again('packed(ddMMM) " " n', 400, "counter n from 1 to 9") == []  # never restarts
    assert again('packed(ddMMM) " " n', 400, "counter n from 1 to 9, restart daily of packed")
    lot = 'input lot matching "[0-9]{4}", default "0001"'
    assert again('packed(ddMMM) " " lot', 400, lot) == []


WRAPS = "counter n from 1 to {}{}, at end wrap\nblock {{ line: {} n }}"


def test_a_counter_wraps_only_when_something_else_has_changed(bench):
    # 1.2 m/s and 90 mm: 800 products a minute
    def wraps(last, line, restart=""):
        return bench.findings(DUBLIN + WRAPS.format(last, restart, line), "counter-wraps")

    assert wraps(800, 'packed(dd HH:mm) " "') == []
    assert wraps(799, 'packed(dd HH:mm) " "')[0].limit == 800
    assert wraps(48_000, 'packed(dd HH) " "') == []
    assert wraps(47_999, 'packed(dd HH) " "')
    assert wraps(1_152_000, 'packed(dd) " "') == []
    assert wraps(1_151_999, 'packed(dd) " "')
    assert wraps(10**9, '"N"')[0].limit is None  # nothing else ever changes
    crew = 'shift crew of packed { "A" from 06:00 "B" from 18:00 }\n'
    by_shift = crew + WRAPS.format(576_000, ", restart per crew", 'crew " "')
    assert bench.findings(DUBLIN + by_shift, "counter-wraps") == []
    assert bench.findings(DUBLIN + by_shift.replace("576_000", "1").replace("576000", "575999"),
                          "counter-wraps")  # fmt: skip


def test_a_counter_restarts_with_something_that_is_printed(bench):
    def found(line, restart, more=""):
        body = f"{DUBLIN}{more}\ncounter n from 1 to 9999999, {restart}\nblock {{ line: {line} n }}"
        return bench.findings(body, "restart-unprinted")

    assert found("packed(MMM)", "restart daily of packed")
    assert found("packed(dd)", "restart daily of packed") == []
    assert found("packed(yyyy)", "restart monthly of packed")
    assert found("packed(MMM)", "restart monthly of packed") == []
    assert found("packed(MMM)", "restart yearly of packed")
    assert found('packed(yy) " "', "restart yearly of packed") == []
    crew = 'shift crew of packed { "A" from 06:00 "B" from 18:00 }'
    assert found('packed(dd) " "', "restart per crew", crew)
    assert found('packed(dd) crew " "', "restart per crew", crew) == []


LOT = 'input lot matching "{}", default "{}"\nblock {{ line: best(dd MMM yyyy) " {}" lot }}'


def test_a_lot_that_reads_as_a_date(bench):
    def found(pattern, default, label):
        body = DUBLIN + DAYS + LOT.format(pattern, default, label)
        return bench.findings(body, "lot-reads-as-date")

    [finding] = found("[0-9]{6}", "123456", "L")
    assert '"040328"' in finding.message  # the best-before day, 4 March 2028
    assert found("[0-9]{8}", "12345678", "LOT ")
    assert found("[0-9]{5}", "12345", "L") == []
    assert found("[A-H][0-9]{5}", "A12345", "L") == []
    assert found("[0-9]{6}", "123456", "NO ") == []  # not called a lot


def test_a_fixed_date_that_has_passed(bench):
    body = "clock best = 2027-11-25\nblock {{ line: best(dd MMM yyyy) }}".replace("{{", "{")
    body = body.replace("}}", "}")
    assert bench.findings(body, "expired-date", at="2027-11-25 23:59") == []
    [finding] = bench.findings(body, "expired-date", at="2027-11-27 00:00")
    assert "from 2027-11-26 on" in finding.message
    assert "packed + " in finding.remedy


def gs1(bench, body, rule):
    return bench.findings(body, rule, rules=["gs1"], profile=EXAMPLE_PROFILE)


def test_gs1_dates_are_six_digits(bench):
    # GS1 barcode syntax dictionary, linter yymmd0
    def found(field):
        return gs1(bench, DUBLIN + DAYS + f'block {{ line: "(17)" {field} "(10)A1" }}', "gs1-date")

    assert found("best(yyMMdd)") == []
    assert found('best(yyMM) "00"') == []
    for field in ("best(ddMMyy)", "best(yy-MM-dd)", "best(yyyyMMdd)", "best(MMM yy)", '"271301"'):
        assert found(field), field
    assert found('"271200"') == []


@pytest.mark.parametrize(
    ("date", "right"),
    [
        ("200229", True), ("240229", True), ("000229", True), ("210228", True), ("200600", True),
        ("000606", True), ("200230", False), ("210229", False), ("200431", False),
        ("200132", False), ("200010", False), ("201310", False),
    ],
)  # fmt: skip
def test_gs1_dates_pass_and_fail_as_the_tests_of_the_dictionary_say(bench, date, right):
    # tests of the linter yymmd0 in the GS1 barcode syntax dictionary
    assert bool(gs1(bench, f'block {{ line: "(17){date}" }}', "gs1-date")) is not right


def test_a_real_day_is_asked_for_by_element_and_of_medicine(bench):
    line = DUBLIN + DAYS + 'block { line: "(%s)" best(yyMM) "00%s" }'
    for identifier, more, found in (("17", "", 0), ("15", "", 0), ("7006", "", 1)):
        assert len(gs1(bench, line % (identifier, more), "gs1-date")) == found
    assert gs1(bench, DUBLIN + 'block { line: "(7003)" packed(yyMMddHHmm) }', "gs1-date") == []
    body = line % ("17", "")
    assert bench.findings(body, "gs1-date", rules=["gs1", "eu-medicine"])


def test_gs1_texts_hold_twenty_characters_of_82(bench):
    def found(pattern, default):
        body = f'input lot matching "{pattern}", default "{default}"\nblock {{ line: "(10)" lot }}'
        return gs1(bench, body, "gs1-text")

    assert found("[A-H0-9]{1,20}", "A1") == []
    assert found("[A-H0-9]{1,21}", "A1")[0].measured == 21
    assert found("(AB)*", "AB")[0].measured == 64  # without end: the most an input can have
    assert found("A|BBBB[0-9]{17}", "A")[0].measured == 21
    [finding] = found("[A-H #]{4}", "A A#")
    assert "blank #" in finding.message


@pytest.mark.parametrize(
    ("key", "wrong"),
    [
        ("(01)06291041500213", False),  # GS1 manual calculation example, from memory
        ("(01)06291041500214", True),
        ("(00)376104250021234569", False),
        ("(00)376104250021234568", True),
        ("(01)6291041500213", True),
        ("(01)0629104150021X", True),
    ],
)
def test_gs1_keys_have_their_length_and_check_digit(bench, key, wrong):
    assert bool(gs1(bench, f'block {{ line: "{key}" }}', "gs1-check-digit")) is wrong


def test_inputs_that_may_be_anything(bench):
    def found(options):
        body = f'input lot {options} default "A1"\nblock {{ line: lot }}'
        return bench.findings(body, "unchecked-input")

    assert found("")
    assert found('matching "[A-H][0-9]",') == []
    assert found('one of "A1", "B2",') == []
    assert found("length 2,") == []


def test_limits_of_what_cannot_be_laid_out_are_not_checked_and_say_so():
    text = 'message m { raster 5 font upright-7 block { line: "A" } require drops >= 1 }'
    found = [f for f in load_text(text).resolve().check() if f.rule == "require"]
    assert "cannot be measured" in found[0].message
    assert "not checked" in found[0].message
    assert "--profile" not in found[0].remedy
