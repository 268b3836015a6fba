"""Extremes over dates that are typed, held against every day that may be typed at every hour."""

from datetime import date, timedelta
from zoneinfo import ZoneInfo

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from rasterc.diagnostics import InputError
from rasterc.extremes.repeats import repeats_within
from rasterc.extremes.report import extremes_within
from rasterc.values import Instant

CLOCKS = """
  clock packed in "Europe/Dublin", day from 06:00
  clock away in "America/New_York"
  clock season = 2027-11-01
  clock best = made + 28 days
  clock later = made + 1 month to month end
  clock next = cut to next friday
  counter case from 8 to 11
  text both = made(dd) case
  text pair = made(d) packed(d)
  check digit = luhn of made(yyMMdd)
  check sum = luhn of packed(HH) made(dd)
  table odd { 1 -> "I" 2 -> "MM" 31 -> "" other -> "W" }
"""
LIMITS = (
    "within 2 days before packed", "within 3 days after packed", "within 1 week after 2027-10-28",
    "within 1 month before away", "not before packed, not after best-by",
    "within 9 days after season", "not after packed, within 9 days after 2027-10-27",
    "within 0 days after packed", "within 4 days before packed, not before season",
)  # fmt: skip
PIECES = (
    '"L"', "made", "made(d.M.yy)", "made(EEEE, upper)", "made(last 2)", "made(d, table odd)",
    "best(dd MMM, upper)", "best(DDD)", "later(MMMM)", "cut", "next(d.M.)", "packed(d)",
    "packed(HH)", "packed(H)", "away(d H)", "case", "both", "pair", "digit", "sum",
    "made(dMM, from 2 to 3)",
)  # fmt: skip
STARTS = ("2027-10-30 22:00", "2027-10-31 00:00", "2027-11-02 04:00", "2028-02-28 20:00")


def days(first: date, last: date) -> list[date]:
    return [first + timedelta(days=n) for n in range((last - first).days + 1)]


def every_print(code, horizon, brute):
    """Each print by brute force: every hour, every day of a year around it, every counter."""
    dates = code.plan.dates
    printed = {field.name for field in code.plan.fields}
    near = {*days(horizon.start.date() - timedelta(32), horizon.end.date() + timedelta(10))}
    near |= {*days(date(2027, 10, 27), date(2027, 11, 10))}
    cases = code.message.counters["case"].values if "case" in printed else [8]
    seen = {}
    for when in list(brute.moments(horizon))[::60]:
        texts = [{}]
        for name, typed in dates.items():
            good = []
            for day in near:
                try:
                    code.plan.at(Instant(when, {}, {name: typed.text(day)})).clock(name)
                except InputError:
                    continue
                good.append(typed.text(day))
            texts = [{**some, name: text} for some in texts for text in good]
        for inputs in texts:
            for case in cases:
                instant = Instant(when, {"case": case}, inputs)
                resolved = code.plan.resolve(instant)
                seen.setdefault(resolved.lines, instant)
    return seen


contents = st.lists(
    st.lists(st.sampled_from(PIECES), min_size=1, max_size=3).map(
        lambda some: f"line font upright-7: {' '.join(some)}"
    ),
    min_size=1,
    max_size=2,
).map(" ".join)


@settings(
    max_examples=8,
    deadline=None,
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
@given(
    content=contents,
    made=st.sampled_from(LIMITS),
    cut=st.sampled_from(LIMITS),
    start=st.sampled_from(STARTS),
    hours=st.integers(1, 12),
)
def test_extremes_are_those_of_every_day_at_every_hour(brute, content, made, cut, start, hours):
    declared = f"""{CLOCKS}
      clock best-by = packed + 5 days
      input made date "dd.MM.yy", {made}
      input cut date "yyDDD", {cut}"""
    code = brute.code_of(declared, content)
    horizon = brute.stretch(start, 60 * hours)
    prints = every_print(code, horizon, brute)
    if not prints:
        return
    report = extremes_within(
        code.plan, code.fonts, horizon,
        measures=("longest", "shortest", "most-drops", "fewest-drops", "most-characters"),
    )  # fmt: skip
    measured = {}
    for lines, instant in prints.items():
        strokes = code.resolve_at(instant).strokes()
        measured[lines] = {
            "longest": len(strokes), "shortest": len(strokes), "most-drops": strokes.drops,
            "fewest-drops": strokes.drops, "most-characters": sum(map(len, lines)),
        }  # fmt: skip
    for name, extreme in report.by_name.items():
        pick = min if name in brute.least else max
        wanted = pick(one[name] for one in measured.values())
        if extreme.exact:
            assert extreme.value == wanted, name
            assert measured[extreme.witness.lines][name] == wanted, name
        else:
            sign = -1 if name in brute.least else 1
            assert sign * extreme.value >= sign * wanted, name
    assert report.strings.number >= len(prints)
    if report.strings.exact:
        assert report.strings.number == len(prints)


UTC = ZoneInfo("UTC")
REPEATED = (
    '"L"', "made", "made(ddMMyy)", "made(dd)", "made(d.M.yy)", "packed(HH)", "packed(dd)",
    "packed(a)", "packed(EEEEE)", "crew", "best(dd.MM.yyyy)",
)  # fmt: skip
HELD = (
    "within 2 days before packed", "within 0 days after packed", "within 9 days before packed",
    "within 1 week after 2027-10-28", "not before packed, not after until",
)  # fmt: skip


def brute_gap(code, start, hours, brute):
    """The shortest gap in hours, from what every hour can print with every day."""
    runs, best = {}, None
    typed = code.plan.dates["made"]
    near = {*days(start.date() - timedelta(11), start.date() + timedelta(12))}
    near |= {*days(date(2027, 10, 28), date(2027, 11, 4))}
    for step in range(hours):
        when = start + timedelta(hours=step)
        texts = set()
        for day in near:
            try:
                instant = Instant(when, {}, {"made": typed.text(day)})
                texts.add(code.plan.resolve(instant).lines)
            except InputError:
                continue
        for text in texts:
            end = runs.get(text)
            if end is not None and end < step and (best is None or step - end < best):
                best = step - end
            runs[text] = step + 1
    return best


@settings(
    max_examples=6,
    deadline=None,
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
@given(
    pieces=st.lists(st.sampled_from(REPEATED), min_size=1, max_size=4),
    limits=st.sampled_from(HELD),
    start=st.sampled_from(["2027-10-29 00:00", "2027-03-26 20:00", "2027-06-01 00:00"]),
)
def test_repeats_are_those_of_every_day_at_every_hour(brute, pieces, limits, start):
    code = brute.code_of(
        f"""clock packed in "UTC", day from 06:00
        clock until = packed + 4 days
        clock best = made + 28 days
        shift crew of packed {{ "A" from 06:00 "B" from 14:00 }}
        input made date "dd.MM.yy", {limits}""",
        f"line: {' '.join(pieces)}",
    )
    hours = 24 * 7
    horizon = brute.stretch(start, hours * 60, UTC)
    gap = brute_gap(code, horizon.start, hours, brute)
    report = repeats_within(code.plan, horizon)
    if report.never or (report.exact and report.gap is None and not report.always) or report.always:
        assert gap is None
    elif report.exact:
        assert report.gap == timedelta(hours=gap)
    else:
        assert report.why
        least = report.no_sooner or timedelta(0)
        assert gap is None or timedelta(hours=gap) >= least
    if report.first is not None:
        assert report.last.lines == report.again.lines == report.first.lines


def test_a_date_that_cannot_be_typed_any_more_never_comes_again(brute):
    body = 'input made date "dd.MM.yy", within 3 days before packed\nclock packed in "UTC"'
    code = brute.code_of(body, "line: made")
    found = code.repeats("2027-01-01")
    assert "may not be typed again" in found.never
    code = brute.code_of(body, "line: made packed(dd)")
    assert "may not be typed again" in code.repeats("2027-01-01").never
    code = brute.code_of(body, "line: made packed(HH)")
    assert code.repeats("2027-01-01").gap == timedelta(hours=23)
    code = brute.code_of(body, "line: made(dd.MM.)")
    found = code.repeats("2027-01-01")
    assert not found.exact and "is not told by what is printed" in found.why
    code = brute.code_of('input made date "dd.MM.yy"', "line: made")
    assert code.repeats("2027-01-01").always
