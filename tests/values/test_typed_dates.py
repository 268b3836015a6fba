"""Dates that are typed, held against the standard library and dateutil."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from rasterc.api import load_text
from rasterc.diagnostics import InputError
from rasterc.source.declarations import DateForm
from rasterc.values import Instant
from rasterc.values.dates.typed import typed_date

FORMS = {
    "dd.MM.yy": "%d.%m.%y", "yyyy-MM-dd": "%Y-%m-%d", "ddMMyyyy": "%d%m%Y", "yyDDD": "%y%j",
    "MM/dd/yy": "%m/%d/%y", "YYYY'W'ww-e": "%GW%V-%u", "yyyy DDD 'A'": "%Y %j A",
}  # fmt: skip
DAYS = st.dates(date(2000, 1, 1), date(2099, 12, 31))
MEAT = """message meat {{ raster 16 font upright-7
  clock packed in "Europe/Dublin", day from 06:00
  input made date "dd.MM.yy", {limits}
  clock best = made + 1 month
  block {{ line: made(yyyyMMdd) " " best(yyyyMMdd) " " packed(HH:mm) }} }}"""


def form(pattern):
    found, faults = typed_date(DateForm(pattern, None), "made")
    assert not faults
    return found


@given(day=DAYS, pattern=st.sampled_from(sorted(FORMS)))
def test_a_day_is_read_and_written_as_strftime_has_it(day, pattern):
    text = day.strftime(FORMS[pattern])
    assert (form(pattern).text(day), form(pattern).day(text)) == (text, day)


@given(text=st.text("0123456789. -", max_size=10) | st.from_regex("[0-3][0-9].[01][0-9].[0-9]{2}"))
def test_what_strptime_refuses_is_refused(text):
    try:
        wanted = datetime.strptime(text, "%d.%m.%y").date().replace(year=2000 + int(text[-2:]))
    except ValueError:
        wanted = None
    found = form("dd.MM.yy").day(text)
    if found is not None or (wanted is not None and wanted.strftime("%d.%m.%y") == text):
        assert found == wanted
    assert (form("dd.MM.yy").complaint(text) is None) == (found is not None)


@pytest.mark.parametrize(
    ("pattern", "text", "why"),
    [
        ("dd.MM.yy", "31.02.27", "there is no such day"),
        ("dd.MM.yy", "29.02.27", "there is no such day"),
        ("dd.MM.yy", "3.2.27", "it is not written as dd.MM.yy"),
        ("d.M.yy", "03.02.27", "it is not written as d.M.yy"),
        ("dd.MM.yyyy", "03.02.1999", "it is not in the years 2000 to 2099"),
        ("yyDDD", "27366", "there is no such day"),
        ("YYYYwwe", "2027535", "there is no such day"),
        ("dd.MM.yy", "٠٣.٠٢.٢٧", "it is not written as dd.MM.yy"),
    ],
)
def test_a_wrong_date_is_told_why(pattern, text, why):
    assert form(pattern).complaint(text)[0] == why


@pytest.mark.parametrize(
    ("pattern", "why"),
    [
        ("dd.MM", "it does not tell one day"),
        ("dMyyyy", 'where "d" ends cannot be told'),
        ("dd MMM yy", '"MMM" is no number of a day'),
        ("dd.MM.yy HH", '"HH" is no number of a day'),
        ("YYYYMMdd", "it does not tell one day"),
        ("y.M.d", '"y" is no number of a day'),
    ],
)
def test_a_form_that_does_not_tell_a_day_is_refused(pattern, why):
    [fault] = typed_date(DateForm(pattern, None), "made")[1]
    assert why in fault.message


def test_every_day_of_three_years_and_no_other():
    """Each text is taken or refused as dateutil counts, and prints the day it means."""
    plan = load_text(MEAT.format(limits="within 3 years after packed")).plan
    for wall in (
        datetime(2027, 2, 28, 14),
        datetime(2028, 2, 29, 14),
        datetime(2027, 3, 28, 5, 59),
    ):
        packed = (wall - timedelta(hours=6)).date()
        last = packed + relativedelta(years=3)
        day = packed - timedelta(days=2)
        while day <= last + timedelta(days=2):
            instant = Instant(wall, {}, {"made": f"{day:%d.%m.%y}"})
            try:
                shown = plan.resolve(instant).lines[0]
            except InputError as error:
                assert error.diagnostics[0].code == "date-out-of-limits"
                assert not packed <= day <= last, day
            else:
                assert packed <= day <= last, day
                best = day + relativedelta(months=1)
                assert shown == f"{day:%Y%m%d} {best:%Y%m%d} {wall:%H:%M}"
            day += timedelta(days=1)


@given(
    amount=st.integers(0, 40),
    unit=st.sampled_from(["days", "weeks", "months", "years"]),
    side=st.sampled_from(["before", "after"]),
    when=st.datetimes(datetime(2027, 1, 1), datetime(2037, 1, 1), timezones=st.just(UTC)),
    off=st.integers(-2, 2),
)
def test_limits_are_days_of_the_clock(amount, unit, side, when, off):
    """Both ends are allowed; the clock's day begins at six, whatever its clocks do."""
    plan = load_text(MEAT.format(limits=f"within {amount} {unit} {side} packed")).plan
    wall = when.astimezone(ZoneInfo("Europe/Dublin"))
    packed = wall.date() - timedelta(days=wall.hour < 6)
    far = packed + (1 if side == "after" else -1) * relativedelta(**{unit: amount})
    first, last = max(min(packed, far), date(2000, 1, 1)), max(packed, far)
    for end in (first, last):
        day = end + timedelta(days=off)
        if day < date(2000, 1, 1):
            continue
        instant = Instant(when, {}, {"made": f"{day:%d.%m.%y}"})
        try:
            plan.resolve(instant)
        except InputError:
            assert not first <= day <= last
        else:
            assert first <= day <= last


@pytest.mark.parametrize(
    ("statements", "code"),
    [
        ("clock due = made + 3 hours block { line: due(dd) }", "no-time-of-day"),
        ("block { line: made(HH:mm) }", "no-time-of-day"),
        ("table t every 2 hours of day { } block { line: made(table t) }", None),
        ('shift s of made { "A" from 06:00 } block { line: s }', "no-time-of-day"),
        ("counter c from 1 to 9, restart daily of made block { line: c }", "typed-restart"),
        ('input cut date "dd.MM.yy", not after made block { line: cut }', "typed-limit"),
        ('input made date "dd.MM.yy" block { line: made }', "duplicate-name"),
        ("block { line: made(upper, dd) }", "unknown-option"),
    ],
)
def test_what_a_typed_date_cannot_do(statements, code):
    text = 'message m { raster 7 font upright-7 clock p in "UTC" input made date "dd.MM.yy" '
    with pytest.raises(InputError) as caught:
        load_text(f"{text} {statements} }}")
    if code is not None:
        assert code in {diagnostic.code for diagnostic in caught.value.diagnostics}
