"""The proof that no code repeats, against looking at every row."""

from datetime import UTC, datetime
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rasterc.batch.counting import stretches_of
from rasterc.batch.pace import Pace
from rasterc.batch.proof import why_unique
from rasterc.batch.rows import micros_of
from rasterc.batch.source import Counted

DECLARED = """
  clock packed in "Europe/Dublin"
  shift crew of packed { "A" from 06:00 "B" from 14:00 "C" from 22:00 }
  clock began = start of crew
  counter case from 1 to 200%s
  counter box from 1 to 30, at end wrap
  input lot length 1 to 3, default "7"
  check digit = gs1-mod10 of case(000)
"""
PIECES = (
    "case", "case(000)", "case(000, blanks)", "case(last 1)", "case(000, last 2)", "box", "box(00)",
    "packed(d)", "packed(dd)", "packed(H)", "packed(HHmm)", "packed(MMM)", "packed(M)", "crew",
    "began(dd)", "lot", "digit", '"L"', '"1"', '" "', "packed(yyDDD)", "packed(EEEE)", "packed(e)",
)  # fmt: skip
OPTIONS = (
    "", ", each 2 times", ", restart daily of packed", ", restart per crew", ", at end wrap",
    ", restart weekly of packed",
)  # fmt: skip


def job(code, count, step, before=0):
    pace = Pace(micros_of(datetime(2027, 11, 24, 21, tzinfo=UTC)), Fraction(step))
    stretches = {
        name: stretches_of(code.plan, counter, pace, count, before if name == "case" else 0)
        for name, counter in code.message.counters.items()
    }
    return Counted(count, pace, stretches, {})


def code_of(made, lines, option=""):
    body = "\n".join(f"line: {line}" for line in lines)
    return made.load(
        f"message m {{ raster 16 font upright-5 {DECLARED % option} block {{ {body} }} }}"
    )


def repeats(code, source):
    """Whether two rows print the same, by resolving every row."""
    seen = set()
    for told in source.told(0, 1000):
        for place in range(len(told.rows)):
            lines = code.plan.resolve(told.rows.instant(place)).lines
            if lines in seen:
                return True
            seen.add(lines)
    return False


@settings(max_examples=200, deadline=None)
@given(
    lines=st.lists(
        st.lists(st.sampled_from(PIECES), min_size=1, max_size=4).map(" ".join),
        min_size=1,
        max_size=2,
    ),
    option=st.sampled_from(OPTIONS),
    count=st.integers(2, 250),
    step=st.sampled_from([0, 60_000_000, 3_600_000_000, 7 * 3_600_000_000]),
    before=st.sampled_from([0, 8, 95]),
)
def test_what_is_proved_holds(made, lines, option, count, step, before):
    code = code_of(made, lines, option)
    source = job(code, count, step, before)
    if why_unique(code.plan, source):
        assert not repeats(code, source)


@pytest.mark.parametrize(
    ("lines", "option", "step", "proved"),
    [
        (['"p" case'], "", 0, True),
        (['"p" case " A" packed(H)'], "", 0, True),
        (["packed(yyDDD) case(000)"], "", 3600, True),
        (["case(000) packed(EEEE)"], "", 3600, True),
        (["packed(dd) case"], "", 3600, True),
        (["lot case"], "", 0, True),  # the lot stays as it is
        (["packed(dd) case(000)"], ", restart daily of packed", 3600, True),
        (["crew began(dd) case(000)"], ", restart per crew", 3600, True),
        (['began(yyDDDHH) "-" case'], ", restart per crew", 3600, True),
        # C of one day before midnight, and of the day before after midnight
        (["crew packed(dd) case(000)"], ", restart per crew", 3600, False),
        (["case(000)", "packed(dd)"], ", restart daily of packed", 3600, True),
        # touching fields: 1 and 12 is 11 and 2
        (["case packed(H)"], "", 3600, False),
        (["packed(H) case"], "", 3600, False),
        (["case box"], "", 0, False),
        # cut counters
        (["case(000, last 2)"], "", 0, False),
        # restarts that are not told, or not wholly
        (["case(000)"], ", restart daily of packed", 3600, False),
        (["packed(e) case(000)"], ", restart daily of packed", 3600, False),
        (["packed(dd) case(000)"], ", restart per crew", 3600, False),
        # each twice
        (["case(000)"], ", each 2 times", 0, False),
    ],
)
def test_what_can_be_proved(made, lines, option, step, proved):
    code = code_of(made, lines, option)
    source = job(code, 199, step * 1_000_000)
    assert bool(why_unique(code.plan, source)) == proved


def test_touching_fields_do_repeat(made):
    code = made.load(
        "message m { raster 7 font upright-7 counter case from 1 to 99 input mark length 1 to 2 "
        'block { line: "p " case mark } }'
    )
    one = code.resolve(counters={"case": 1}, inputs={"mark": "12"})
    other = code.resolve(counters={"case": 11}, inputs={"mark": "2"})
    assert one.lines == other.lines == ("p 112",)
