"""Taking lines apart into the dates and times that a reader meets."""

import pytest

from rasterc.checks.printed.dates import marks
from rasterc.checks.printed.durability import durable_marks

CLOCKS = """
clock packed in "Europe/Dublin", day from 06:00
clock best = packed + 9 months to month end
table month from 1, letters "ABCDEFGHJKLM"
table name from 1 { "JAN" "FEB" "MAR" "APR" "MAY" "JUN" "JUL" "AUG" "SEP" "OCT" "NOV" "DEC" }
table hour every 15 minutes of hour, letters "ABCD"
text date = packed(dd) "." packed(MM)
"""


def read(bench, line):
    return marks(bench.subject(f"{CLOCKS}\nblock {{ line: {line} }}"))


@pytest.mark.parametrize(
    ("line", "patterns"),
    [
        ('"EXP " best(MM/yyyy)', ["MM/yyyy"]),
        ("packed(dd.MM.yy)", ["dd.MM.yy"]),
        ('packed(dd) "/" packed(MM) "/" packed(yy)', ["dd/MM/yy"]),
        ("date packed(yyyy)", ["dd.MMyyyy"]),  # fields within a text are written out
        ('packed(yyDDD) " " best(MMM)', ["yyDDD", "MMM"]),  # another clock, another mark
        ('packed(HH:mm) " NO " packed(dd)', ["HH:mm", "dd"]),  # words part marks
        ("packed(YYYY'W'ww)", ["YYYY'W'ww"]),
        ("packed(dd 'o''clock' HH)", ["dd 'o''clock' HH"]),
        ('"NO DATE"', []),
    ],
)
def test_date_letters_that_stand_together_are_one_mark(bench, line, patterns):
    assert [mark.pattern for mark in read(bench, line)] == patterns


@pytest.mark.parametrize(
    ("line", "text", "whole"),
    [
        ("packed(y, last 1)", "7", [False]),
        ("packed(yyyyMMdd, last 4)", "1125", [True, True]),
        ("packed(yyyyMMdd, first 5)", "20271", [True, False]),
        ("packed(yyyyMMdd, from 3 to 6)", "2711", [False, True]),
        ("packed(MMM, upper)", "NOV", [True]),
        ('packed(d, pad 4 left "0")', "25", [True]),
    ],
)
def test_options_cut_the_letters_they_leave_out(bench, line, text, whole):
    [mark] = read(bench, line)
    assert mark.text == text
    assert [part.whole for part in mark.parts] == whole


def test_tables_of_letters_are_codes_and_tables_of_names_are_not(bench):
    [code] = read(bench, "packed(M, table month)")
    [name] = read(bench, "packed(M, table name)")
    [hour] = read(bench, "packed(table hour)")
    assert [code.parts[0].coded, name.parts[0].coded, hour.parts[0].coded] == [True, False, True]
    assert [code.text, name.text, hour.text] == ["L", "NOV", "A"]
    assert hour.letters == "m"


def test_a_mark_knows_the_words_before_it(bench):
    subject = bench.subject(
        CLOCKS + 'block { line: "best before" line: best(dd MMM yyyy) " L" packed(yyDDD) }',
        raster=16,
        profile=None,
    )
    first, second = marks(subject)
    assert (first.label, first.before, first.above) == ("BEST BEFORE", "", "best before")
    assert second.before.endswith(" L")
    assert second.span.text == "packed(yyDDD)"


def test_the_life_of_a_date_leaves_out_its_moves(bench):
    body = CLOCKS + "block { line: best(MMM yyyy) packed(HH:mm) }"
    [(mark, life)] = durable_marks(bench.subject(body, at="2028-02-29 05:59"))
    assert mark.clock == "best"
    # the production day of 05:59 is the day before, its days beginning at six
    assert [str(day) for day in (life.made, life.nominal, life.stated)] == [
        "2028-02-28", "2028-11-28", "2028-11-30",
    ]  # fmt: skip
    assert not life.keeps_beyond(9)
    assert life.keeps_beyond(8)
