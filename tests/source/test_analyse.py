"""What messages mean once names and kinds are known."""

from datetime import UTC, date, datetime, timedelta

import pytest

from rasterc.source import declarations as d
from rasterc.source import message as m
from rasterc.source import parse_messages, times
from rasterc.source.meaning.inputs import MAX_INPUT_LENGTH


def read(body, outside=""):
    text = f"{outside}\nmessage t {{ raster 16 font upright-7\n{body}\nblock {{ line: }}\n}}"
    messages, found = parse_messages(text)
    assert [d.render() for d in found] == []
    return messages["t"]


def clock(text):
    return read(f'clock z in "Europe/Dublin"\nclock c {text}').clocks["c"]


def test_a_clock_read_from_the_instant():
    c = clock('in "Europe/Paris", day from 6:30')
    assert (c.zone, c.zone_span.text, c.day_from_minutes) == ("Europe/Paris", '"Europe/Paris"', 390)
    assert (c.base, c.shift, c.fixed, c.steps) == (None, None, None, ())


def test_steps_of_a_clock_in_order():
    c = clock("= z + 1 minute - 2 hours + 3 day + 4 weeks - 5 months + 6 years")
    assert c.base == "z"
    assert [(s.amount, s.unit) for s in c.steps] == [
        (1, times.Unit.MINUTE),
        (-2, times.Unit.HOUR),
        (3, times.Unit.DAY),
        (4, times.Unit.WEEK),
        (-5, times.Unit.MONTH),
        (6, times.Unit.YEAR),
    ]
    assert c.steps[1].span.text == "- 2 hours"


@pytest.mark.parametrize(
    ("move", "target", "weekday"),
    [
        ("month end", times.Target.MONTH_END, None),
        ("month start", times.Target.MONTH_START, None),
        ("year end", times.Target.YEAR_END, None),
        ("year start", times.Target.YEAR_START, None),
        ("mon", times.Target.WEEKDAY, 0),
        ("friday", times.Target.WEEKDAY, 4),
        ("next sunday", times.Target.NEXT_WEEKDAY, 6),
        ("previous wed", times.Target.PREVIOUS_WEEKDAY, 2),
    ],
)
def test_where_a_clock_moves(move, target, weekday):
    (step,) = clock(f"= z to {move}").steps
    assert (step.target, step.weekday) == (target, weekday)


def test_fixed_dates_shift_starts_and_short_months():
    assert clock("= 2028-02-29").fixed == date(2028, 2, 29)
    assert clock("= z + 1 month").short_month is times.ShortMonth.LAST_DAY
    assert clock("= z + 1 month, short month next-day").short_month is times.ShortMonth.NEXT_DAY
    message = read(
        'clock z in "Europe/Dublin"\nclock s = start of crew + 1 day\n'
        'shift crew of z { "N" from 22:00 on sat to mon, wed  "D" from 06:00 }'
    )
    assert message.clocks["s"].shift == "crew"
    night, day = message.shifts["crew"].parts
    assert (night.label, night.from_minutes, night.days) == ("N", 1320, (0, 2, 5, 6))
    assert day.days == tuple(range(7))


def counter(text, before='clock z in "Europe/Dublin"\nshift crew of z { "A" from 06:00 }\n'):
    return read(f"{before}counter c {text}").counters["c"]


def test_counters():
    plain = counter("from 1 to 9")
    assert (plain.first, plain.last, plain.step, plain.repeat, plain.digits) == (
        1,
        9,
        1,
        1,
        "0123456789",
    )
    assert (plain.restart, plain.restart_of, plain.at_end) == (d.Restart.NEVER, None, d.AtEnd.STOP)
    assert list(counter("from 9 down to 1, step 4").values) == [9, 5, 1]
    assert counter("from 0 to 9, each 3 times").repeat == 3
    assert counter("from 0 to 9, base 16").digits == "0123456789ABCDEF"
    assert counter('from 0 to 9, digits "XYZ", base 3').digits == "XYZ"
    assert counter("from 0 to 9, at end wrap").at_end is d.AtEnd.WRAP
    assert counter("from 0 to 9, restart daily").restart_of == "z"
    of = counter("from 0 to 9, restart yearly of z")
    assert (of.restart, of.restart_of) == (d.Restart.YEARLY, "z")
    per = counter("from 0 to 9, restart per crew")
    assert (per.restart, per.restart_of) == (d.Restart.SHIFT, "crew")
    assert counter("from 0 to 9, restart never").restart is d.Restart.NEVER


def test_inputs():
    inputs = read(
        'input a matching "[0-9]+", default "7"\ninput b one of "X" "Y"\ninput c one of "X", "Y"\n'
        "input d length 6\ninput e length 4 to 8\ninput f"
    ).inputs
    assert (inputs["a"].pattern, inputs["a"].default) == ("[0-9]+", "7")
    assert inputs["a"].pattern_span.text == '"[0-9]+"'
    assert inputs["b"].choices == inputs["c"].choices == ("X", "Y")
    assert (inputs["d"].min_length, inputs["d"].max_length) == (6, 6)
    assert (inputs["e"].min_length, inputs["e"].max_length) == (4, 8)
    assert (inputs["f"].min_length, inputs["f"].max_length) == (None, MAX_INPUT_LENGTH)


def test_tables():
    tables = read(
        'table a { 01 -> "A"  X -> "B"  "other" -> "C"  other -> "D" }\n'
        'table b from 8 { "A" "B" other -> "-" }\ntable c from 1, letters "XY"\n'
        'table d every 20 minutes of hour { "A" "B" "C" }\n'
        'table e every 12 hours of day, letters "AP"'
    ).tables
    assert (tables["a"].rows, tables["a"].other) == ({"1": "A", "X": "B", "other": "C"}, "D")
    assert (tables["b"].rows, tables["b"].other) == ({"8": "A", "9": "B"}, "-")
    assert tables["c"].rows == {"1": "X", "2": "Y"}
    assert tables["d"].rows == {"0": "A", "1": "B", "2": "C"}
    assert (tables["d"].every_minutes, tables["d"].every_of) == (20, "hour")
    assert (tables["e"].every_minutes, tables["e"].every_of, len(tables["e"].rows)) == (
        720,
        "day",
        2,
    )


def test_blocks_and_lines():
    messages, found = parse_messages("""
message t {
  raster 16
  font upright-7
  spacing 1
  gap 4
  block { line font "own.bdf" row 8 align center spacing 0 bold 2 wide 3 inverse tower fixed: "A" }
  block { line: "B" }
  block gap 0 { picture "a.png" row 3 inverse }
}
""")
    assert found == []
    first, second, third = messages["t"].blocks
    assert (first.gap, second.gap, third.gap) == (0, 4, 0)
    (line,) = first.content
    assert (line.font, line.row, line.align, line.spacing) == ("own.bdf", 8, m.Align.CENTER, 0)
    assert (line.bold, line.wide, line.inverse, line.tower, line.fixed) == (2, 3, True, True, True)
    (line,) = second.content
    assert (line.font, line.font_span.text, line.spacing) == ("upright-7", "upright-7", 1)
    assert (line.row, line.align, line.bold, line.wide) == (None, m.Align.LEFT, 1, 1)
    assert third.content == m.Picture("a.png", third.content.span, 3, True)
    assert messages["t"].lines == (*first.content, *second.content)


def test_texts_checks_and_escapes():
    message = read(r"""
counter c from 1 to 9
text t = "a\"\\\u{E9}\N{DEGREE SIGN}" c(00)
check d = iso7064-mod37-36 of t c
""")
    literal, field = message.texts["t"].pieces
    assert literal.text == 'a"\\é°'
    assert (field.name, field.arguments[0].raw) == ("c", "00")
    check = message.checks["d"]
    assert (check.algorithm, check.algorithm_span.text) == ("iso7064-mod37-36",) * 2
    assert [p.name for p in check.pieces] == ["t", "c"]


def test_require_and_expect():
    message = read("""
clock z in "Europe/Dublin"
counter case from 1 to 99
input lot length 2
require length <= 60.5 mm
require drops = 4
expect at 2028-02-29 05:59, case 42, lot "AB" { "X" }
expect at 2028-02-29 05:59:30Z { }
expect at 2028-02-29 05:59-03:30 { "X" "Y" }
""")
    first, second = message.requires
    assert (first.measure.text, first.comparison, first.limit) == ("length", "<=", 60.5)
    assert (first.unit.text, second.unit, second.comparison) == ("mm", None, m.Comparison.EQUAL)
    one, two, three = message.expects
    assert one.at == datetime(2028, 2, 29, 5, 59)
    assert one.at_span.text == "2028-02-29 05:59"
    assert {name: word.text for name, word in one.values.items()} == {"case": "42", "lot": "AB"}
    assert two.at == datetime(2028, 2, 29, 5, 59, 30, tzinfo=UTC)
    assert three.at.utcoffset() == -timedelta(hours=3, minutes=30)
    assert [line.text for line in three.lines] == ["X", "Y"]


def test_a_silence_holds_for_the_message_or_for_the_block_it_stands_in():
    message = read("""
silence look-alike because "the camera reads it"
block { silence line-gap because "no room" line: "A" }
""")
    whole, one = message.silences
    assert (whole.rule.text, whole.reason, whole.block) == (
        "look-alike", "the camera reads it", None,
    )  # fmt: skip
    assert (one.rule.text, one.reason, one.block) == ("line-gap", "no room", message.blocks[0].span)
    assert len(message.blocks[0].content) == 1


def test_an_example_needs_no_moment_without_a_clock():
    assert read('counter c from 1 to 9\nexpect c 3 { "3" }').expects[0].at is None


def test_declarations_outside_messages_are_taken_when_reached():
    message = read(
        "text used = a b",
        'clock a in "Europe/Dublin"\nclock x in "Europe/Paris"\n'
        "counter b from 1 to 9, restart daily of x\ncounter d from 1 to 9",
    )
    assert set(message.clocks) == {"a", "x"}
    assert list(message.counters) == ["b"]


def test_declarations_may_come_in_any_order():
    message = read('text t = c(00)\ncounter c from 1 to 9, restart daily\nclock z in "Etc/UTC"')
    assert message.counters["c"].restart_of == "z"
