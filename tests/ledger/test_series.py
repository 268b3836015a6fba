"""From declared counters to series: restarts by the standard library's calendar (ISO 8601 weeks),
numbers by plain lists."""

from datetime import date, datetime, timedelta
from itertools import cycle, islice
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import rasterc
from rasterc.diagnostics import InputError
from rasterc.ledger import Ledger, series_of
from rasterc.source.declarations import Restart

MESSAGE = """message m {{
  raster 7
  font upright-7
  clock packed in "Etc/UTC", day from 06:00
  shift crew of packed {{ "A" from 06:00 "B" from 14:00 "N" from 22:00 }}
  counter case {counter}
  input lot length 0 to 20
  input tank length 1 to 5, default "T1"
  block {{ line: case packed(dd) lot tank crew }}
}}
"""
BEGAN = {
    "never": lambda day, _: "",
    "daily": lambda day, _: day.isoformat(),
    "weekly": lambda day, _: "{:04}-W{:02}".format(*day.isocalendar()[:2]),
    "monthly": lambda day, _: day.isoformat()[:7],
    "yearly": lambda day, _: day.isoformat()[:4],
    "per": lambda day, at: f"{day.isoformat()}T{'22:00' if night(at) else shift(at)}",
}


def night(at: datetime) -> bool:
    return at.hour >= 22 or at.hour < 6


def shift(at: datetime) -> str:
    return "06:00" if at.hour < 14 else "14:00"


def code(counter="from 1 to 99"):
    return rasterc.load_text(MESSAGE.format(counter=counter))


def restarted(word: str) -> str:
    of = " crew" if word == "per" else "" if word == "never" else " of packed"
    return f"from 1 to 9999, restart {word}{of}"


@pytest.fixture(scope="module")
def codes():
    return {restart.word: code(restarted(restart.word)) for restart in Restart}


@settings(max_examples=150)
@given(st.datetimes(datetime(1, 1, 3), datetime(9999, 12, 30)), st.sampled_from(list(Restart)))
def test_a_series_is_named_by_the_day_the_counter_began(codes, at, restart):
    production_day = (at - timedelta(hours=6)).date()
    series = series_of(codes[restart.word].plan, "case", rasterc.Instant(at))
    assert series.epoch == BEGAN[restart.word](production_day, at)
    assert series.counter == "m.case"


def test_every_restart_is_tried():
    assert {restart.word for restart in Restart} == set(BEGAN)


@settings(max_examples=100)
@given(
    st.sampled_from([one for one in Restart if one is not Restart.NEVER]),
    st.datetimes(datetime(1000, 1, 3), datetime(9999, 12, 1)),
    st.timedeltas(timedelta(0), timedelta(days=800)),
)
def test_series_sort_by_time(codes, restart, at, later):
    plan = codes[restart.word].plan
    one = series_of(plan, "case", rasterc.Instant(at)).epoch
    other = series_of(plan, "case", rasterc.Instant(min(at + later, datetime(9999, 12, 30)))).epoch
    assert one <= other


@settings(max_examples=100)
@given(st.data())
def test_numbers_are_those_the_declaration_lists(data):
    step, each = data.draw(st.integers(1, 5)), data.draw(st.integers(1, 4))
    first, values = data.draw(st.integers(0, 50)), data.draw(st.integers(1, 9))
    base, wraps = data.draw(st.integers(2, 36)), data.draw(st.booleans())
    last = first + step * (values - 1)
    down = data.draw(st.booleans())
    ends = f"from {last} down to {first}" if down else f"from {first} to {last}"
    counter = f"{ends}, step {step}, each {each} times, base {base}"
    counter += ", at end wrap" if wraps else ""
    series = series_of(code(counter).plan, "case", rasterc.Instant())
    listed = [first + step * i for i in range(values) for _ in range(each)]
    if down:
        listed = [last - step * i for i in range(values) for _ in range(each)]
    shown = list(islice(cycle(listed), 3 * len(listed)))
    if not wraps:
        assert series.limit == len(listed)
        shown = listed
    assert [series.numbering.number(at) for at in range(len(shown))] == shown
    assert [int(series.numbering.text(at), base) for at in range(len(shown))] == shown
    for number in set(listed):
        upto = series.numbering.prints_to(number)
        assert listed[upto - 1] == number
        assert number not in listed[upto:]
    if values > 1:
        assert series.numbering.prints_to(last + step if down else first - step) is None
    assert step == 1 or series.numbering.prints_to(first + 1) is None


def test_the_last_value_may_change_and_nothing_else(tmp_path):
    Ledger.create(tmp_path / "n.ledger")
    at = rasterc.Instant(datetime(2027, 11, 25, 14))

    def take(ledger, counter, **options):
        return ledger.take(series_of(code(counter).plan, "case", at, **options), 5, "job", _id())

    with Ledger.open(tmp_path / "n.ledger") as ledger:
        take(ledger, "from 1 to 9")
        with pytest.raises(InputError, match="4 of its 9 prints left"):
            take(ledger, "from 1 to 9")
        assert take(ledger, "from 1 to 99").first == 5
        for other in ("from 0 to 99", "from 99 down to 1", "from 1 to 99, step 2", "from 1 to 99, "
                      "each 2 times", "from 1 to 99, base 16", "from 1 to 99, at end wrap",
                      "from 1 to 99, restart daily of packed"):  # fmt: skip
            with pytest.raises(InputError) as error:
                take(ledger, other)
            assert error.value.diagnostics[0].code == "counter-otherwise", other
            assert take(ledger, other, name=f"other {other}").first == 0
        assert take(ledger, "from 1 to 99").first == 10


def test_inputs_choose_a_series_and_texts_cannot_pass_for_two():
    plan, at = code().plan, datetime(2027, 11, 25, 14)
    seen = set()
    for lot in ("", "A", 'A", tank="T1', "\u00c5", "A\u030a", "a b", "\\"):
        for tank in ("T1", "T2"):
            instant = rasterc.Instant(at, {}, {"lot": lot, "tank": tank})
            part = series_of(plan, "case", instant, per=["tank", "lot"]).part
            assert part == series_of(plan, "case", instant, per=["lot", "tank"]).part
            seen.add(part)
    assert len(seen) == 6 * 2  # the Å of one character and of two are one text
    instant = rasterc.Instant(at, {}, {"lot": "A"})
    assert series_of(plan, "case", instant, per=["tank"]).part == 'tank="T1"'
    assert series_of(plan, "case", instant).part == ""
    with pytest.raises(InputError, match="input-missing"):
        series_of(plan, "case", rasterc.Instant(at), per=["lot"])


def test_a_repeated_hour_belongs_to_one_series():
    """Clocks go back in Dublin on 31 October 2027 at 02:00 (IANA tz database)."""
    text = MESSAGE.replace("Etc/UTC", "Europe/Dublin").replace('"N" from 22:00', '"N" from 01:00')
    night = rasterc.load_text(text.format(counter=restarted("per")))
    for offset in ("+01:00", "+00:00"):
        at = datetime.fromisoformat(f"2027-10-31 01:30{offset}")
        assert series_of(night.plan, "case", rasterc.Instant(at)).epoch == "2027-10-31T01:00"


def test_moments_of_one_production_day_share_a_series(tmp_path):
    Ledger.create(tmp_path / "n.ledger")
    daily = code(restarted("daily"))
    with Ledger.open(tmp_path / "n.ledger") as ledger:
        firsts = [
            ledger.take(series_of(daily.plan, "case", rasterc.Instant(at)), 10, "job", _id()).first
            for at in (
                datetime(2027, 11, 25, 6), datetime(2027, 11, 26, 5, 59), datetime(2027, 11, 26, 6),
            )
        ]  # fmt: skip
    assert firsts == [0, 10, 0]
    assert Path(tmp_path / "n.ledger").stat().st_size
    assert date(2027, 11, 25).isoformat() == series_of(
        daily.plan, "case", rasterc.Instant(datetime(2027, 11, 25, 6))
    ).epoch  # fmt: skip


def _id():
    import uuid

    return uuid.uuid4()
