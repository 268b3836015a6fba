"""Ways of writing brought from elsewhere: one report each, with the remedy."""

import time

import pytest

from rasterc.diagnostics import InputError, SourceText
from rasterc.source import parse_messages
from rasterc.source.formatting.format import format_text
from rasterc.source.parse import parse
from rasterc.values import prepare

DOCUMENT = """\
message m {{
  raster 16
  font upright-7
  clock p in "Europe/Dublin"
  clock packed in "Europe/Dublin"
  {statement}
  silence look-alike because "the camera reads it"
  block {{ line: "A" }}
}}
"""

# Seen by the parser alone: the formatter says the same.
OF_THE_PARSER = [
    ("clock z = p + 9 months to end of month", "write: to month end"),
    ("clock z = p to start of year", "write: to year start"),
    ("clock z = p to the end of the month + 1 day", "write: to month end"),
    ("clock z = p to end of the year, short month carry", "write: to year end"),
    ("clock z = p to end\n    of the month", "write: to month end"),
    ("clock z = p to the month end", "write: to month end"),
    ("clock z = p to first day of the month", "write: to month start"),
    ("clock z = p to the next monday", "write: to next monday"),
    ("clock z = p to end of week", "write `to month end`, `to year start`"),
    ("clock z = p + 1 month-1 day", "a minus sign needs blanks around it: + 1 month - 1 day"),
    ("clock z = packed-1 day", "a minus sign needs blanks around it: packed - 1 day"),
    ("clock z = packed-1 day + 1 month", "blanks around it: packed - 1 day"),
    ("clock z = p plus 9 months", "write: + 9 months"),
    ("clock z = p minus 1 day", "write: - 1 day"),
    ("clock z = p and 9 months", "write: + 9 months"),
    ("clock z = p plus nine months", "write: + 9 months"),
    ("clock z = p - 1 month and 1 day", "write: - 1 day or + 1 day"),
    ("clock z = p 9 months", "write + 9"),
    ("clock z = p after 9 months", "write: + 9 months"),
    ("clock z = p until month end", "write: to month end"),
    ("clock z = p somehow 9 months", "steps are written like + 9 months"),
    ("clock z = p + 1 month short month carry", "put a comma before short"),
    ('clock z in "Europe/Dublin" day from 06:00', "put a comma before day"),
    ('clock z in "Europe/Dublin", day from 6', "write 06:00"),
    ('clock z in "Europe/Dublin", day from "06:00"', "write 06:00"),
    ('clock z in "Europe/Dublin", day from 0630', "write 06:30"),
    ("clock z in Europe/Dublin", 'write "Europe/Dublin"'),
    ("clock z in Europe/Dublin, day from 06:00", 'write "Europe/Dublin"'),
    ("clock z = 31/12/2027", "2027-12-31"),
    ('shift c of p { "A" from 06:00 to 14:00 }', 'leave out "to 14:00"'),
    ('shift c of p { "A" from 06:00-14:00 }', 'leave out "-14:00"'),
    ('shift c of p { "A" from 06:00, "B" from 14:00 }', 'leave out the ","'),
    ('shift c of p { "A" from 06:00 on mon and tue }', 'write ", tue" instead'),
    ("counter n from 1 to 9 restart daily", "put a comma before restart"),
    ('table t { 1 -> "A", 2 -> "B", 3 -> "C" }', 'leave out the ","'),
    ('block { line: "A", "B", "C" }', 'leave out the ",": texts and fields stand side by side'),
    ('block { line: "A" + p(dd) + "C" }', 'leave out the "+"'),
    ('block { "A" }', 'write: line: "A"'),
    ('block { "A" "B" }', 'write: line: "A"'),
    ("block { p(dd) }", "write: line: p"),
    ("block { line: p[MMM] }", "write p(MMM)"),
    ("block { line: p{MMM} }", "write p(MMM)"),
    ("require length <= 60,5 mm", "write 60.5"),
    ('expect at 29.02.2028 { "A" }', "2028-02-29"),
    ('expect at 29.02.2028 05:59 { "A" }', "2028-02-29"),
    ('expect at 2028/2/9 05:59 { "A" }', "2028-02-09"),
    ('expect at 2028-02-29T05:59 { "A" }', "write 05:59, with a blank before it"),
    ('expect at 2028-02-29 5 { "A" }', "write 05:00"),
    ('expect at 2028-02-29 5pm { "A" }', "hours and minutes"),
    ('expect at 2028-02-29 { "A" }', "2028-02-29 05:59"),
    ('expect at 2028-02-29 05:59 UTC { "A" }', "+00:00"),
    ('expect at 2028-02-29 05:59 "A"', 'put braces around: { "A" }'),
    ('expect 2028-02-29 05:59 { "A" }', "write: at 2028-02-29"),
]

# Seen when the words get their meaning.
OF_THE_MEANING = [
    ("clock z = p to end", "write `to month end`"),
    ("clock z = p to end month", "write: to month end"),
    ("clock z = p to mont end", 'did you mean "month"?'),
    ("clock z = p to next", "mon to sun"),
    ("clock z = p+9months-1day", "a minus sign needs blanks around it: + 9 months - 1 day"),
    ("clock z = p + 9 mths", 'did you mean "months"?'),
    ("clock z = p + 1 dax", "units: minute, hour"),
    ("clock z = p + 9 fortnights", "units: minutes, hours"),
    ('shift c of p { "A" from 06:00 on mon-fri }', "write: mon to fri"),
    ('input lot matching "[0-9]" default "1"', '"[0-9]", default'),
    ('input lot one of "A" "B" default "A"', '"B", default'),
    ("input lot length 3 to 4 default 3", "4, default"),
    ("counter n from 1 to 9, step 2 each 3 times", "2, each"),
    ("counter n from 1 to 9, restart daily of p at end stop", "p, at"),
    ("counter n from 1 to 9, each 3 times step 2", "times, step"),
    ('table t from 1 letters "ABC"', "1, letters"),
    ('expect at "2028-02-29 05:59" { "A" }', "write it without quotes"),
]

# No mistakes: what is glued together here can mean only one thing.
RIGHT = [
    "clock z = p+9months -1day",
    "clock z = p + 9 months to month end, short month carry",
    "clock packed-1 = packed - 1 day\n  clock z = packed-1 - 1 day",
    "clock z = 2027-12-31-1 day",
    "require length < 60mm",
    'expect at 2028-02-29 5:59 { "A" }',
]


def document(statement):
    return DOCUMENT.format(statement=statement)


@pytest.mark.parametrize(("statement", "help"), OF_THE_PARSER + OF_THE_MEANING)
def test_one_report_with_its_remedy(statement, help):
    _, diagnostics = parse_messages(document(statement))
    assert len(diagnostics) == 1, diagnostics
    assert help in diagnostics[0].help
    assert diagnostics[0].span.text in statement


@pytest.mark.parametrize(("statement", "help"), OF_THE_PARSER)
def test_the_formatter_says_the_same(statement, help):
    _, diagnostics = parse_messages(document(statement), "m")
    with pytest.raises(InputError) as caught:
        format_text(document(statement), "m")
    assert list(caught.value.diagnostics) == diagnostics


@pytest.mark.parametrize("statement", RIGHT)
def test_what_is_right_stays_right(statement):
    messages, diagnostics = parse_messages(document(statement))
    assert (list(messages), diagnostics) == (["m"], [])
    assert format_text(format_text(document(statement))) == format_text(document(statement))


def test_the_order_of_day_and_month_is_not_guessed():
    _, (fault,) = parse_messages(document('expect at 03/02/2028 05:59 { "A" }'))
    assert fault.help.endswith("2028-02-03 or 2028-03-02")


@pytest.mark.parametrize("pattern", ['"MMM yyyy"', "'MMM yyyy'", "“MMM yyyy”"])
def test_a_quoted_date_pattern_is_refused(pattern):
    messages, diagnostics = parse_messages(document(f"block {{ line: p({pattern}, upper) }}"))
    assert diagnostics == []
    _, (fault,) = prepare(messages["m"])
    assert (fault.code, fault.span.text) == ("bad-date-pattern", pattern)
    assert fault.help == "write the pattern bare: p(MMM yyyy)"


@pytest.mark.parametrize("pattern", ["'EXP'", "HH'h'mm", "d''M", "'d'd'd'"])
def test_quoted_text_in_a_date_pattern_stays(pattern):
    messages, _ = parse_messages(document(f"block {{ line: p({pattern}) }}"))
    assert prepare(messages["m"])[1] == []


@pytest.mark.parametrize("long", ["a" * 500_000, "a-" * 250_000 + "1 day", "to end " * 4_000])
def test_looking_for_habits_takes_little_time(long):
    began = time.process_time()
    parsed = parse(SourceText("m", document(f"clock z = p {long} of of")))
    assert parsed.diagnostics
    assert time.process_time() - began < 10  # seconds; a rule of thumb: common practice, no source
