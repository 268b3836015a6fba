"""Repeats where fields of varying length touch: held against every text of every hour or minute."""

from collections import defaultdict
from datetime import UTC, date, datetime, timedelta
from itertools import product

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from rasterc.extremes.repeats import repeats, repeats_within
from rasterc.extremes.rounds import SHOWN_IN_PART, WRAPS, Round
from rasterc.tracing.trace import trace_between
from rasterc.values import Instant, restart_key
from rasterc.values.dates.offsets import minute_of

DECLARED = """
  clock packed in "Europe/Dublin", day from 06:00
  clock best = packed + 1 month
  shift crew of packed { "1" from 06:00  "11" from 14:00  "2" from 22:00 }
  counter daily from 1 to 12, restart daily of packed, at end stop
  counter shifty from 9 to 21, step 2, restart per crew, at end stop
  counter once from 1 to 11, at end stop
  counter round from 8 to 12, at end wrap
  input lot matching "[12]{0,2}", default "1"
  input note matching "[^0-9]{1,2}|."
  table step every 360 minutes of day { "1" "12" "2" "21" }
  check proof = gs1-mod10 of packed(ddMM) daily(00)
"""
PIECES = (
    '"1"', "packed(d)", "packed(M)", "packed(dM)", "packed(e)", "packed(H)", "best(d)", "crew",
    "packed(table step)", "daily", "shifty", "round", "once", "lot", "daily(00)", "proof", '"-"',
)  # fmt: skip
STARTS = (  # whole hours, at which alone the texts change
    "2027-10-29 05:00",
    "2027-03-26 20:00",
    "2027-12-30 22:00",
    "2027-06-01 00:00",
)


def printed(code):
    """The counters and inputs that are printed, with all that they can be."""
    names = {field.name for field in code.plan.fields}
    counters = {n: list(c.values) for n, c in code.message.counters.items() if n in names}
    inputs = {"lot": ["", "1", "2", "11", "12", "21", "22"]} if "lot" in names else {}
    return counters, inputs


def hours_of(horizon, brute):
    """The first minute of every hour, at which alone the texts here change."""
    return [when for minute, when in enumerate(brute.moments(horizon)) if minute % 60 == 0]


def every_print(code, horizon, brute):
    """For each text, the hours that can print it, each with the values that do."""
    counters, inputs = printed(code)
    found = defaultdict(lambda: defaultdict(list))
    for hour, when in enumerate(hours_of(horizon, brute)):
        for numbers in product(*counters.values()):
            for texts in product(*inputs.values()):
                values = dict(zip(counters, numbers, strict=True))
                instant = Instant(when, values, dict(zip(inputs, texts, strict=True)))
                found[code.plan.resolve(instant).lines][hour].append(values)
    return found


def brute_gap(code, horizon, brute):
    """The shortest gap in hours, from everything that can be printed.

    Runs end where a counter restarts that stops at its end; two runs count when values of both
    keep each such counter from printing one number twice before it restarts. A counter that only
    a check character shows may print the same again at any time.
    """
    counters = {n: c for n, c in code.message.counters.items() if n in printed(code)[0]}
    lines = (line for block in code.plan.blocks for line in block.content)
    shown = {getattr(piece, "name", "") for line in lines for piece in line.pieces}
    once = [n for n, counter in counters.items() if counter.at_end == "stop" and n in shown]
    keys = [
        tuple(restart_key(counters[name], code.plan.at(Instant(when))) for name in once)
        for when in hours_of(horizon, brute)
    ]

    def is_kept_apart(one, other):
        return any(
            all(keys[one][i] != keys[other][i] or a[name] != b[name] for i, name in enumerate(once))
            for a, b in product(hours[one], hours[other])
        )

    best = None
    for hours in every_print(code, horizon, brute).values():
        runs = []
        for hour in sorted(hours):
            if runs and runs[-1][1] == hour and keys[runs[-1][0]] == keys[hour]:
                runs[-1][1] = hour + 1
            else:
                runs.append([hour, hour + 1])
        for index, (_, end) in enumerate(runs):
            for start, _ in runs[index + 1 :]:
                if (best is None or start - end < best) and is_kept_apart(end - 1, start):
                    best = start - end
    return best


@settings(
    max_examples=40,
    deadline=None,
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
@given(
    pieces=st.lists(st.sampled_from(PIECES), min_size=2, max_size=4),
    start=st.sampled_from(STARTS),
    hours=st.integers(20, 900),
)
def test_the_shortest_gap_is_that_of_every_text_at_every_hour(brute, pieces, start, hours):
    code = brute.code_of(DECLARED, f"line: {' '.join(pieces)}")
    counters, inputs = printed(code)
    if len(counters) + len(inputs) > 1:
        hours = min(hours, 60)
    horizon = brute.stretch(start, hours * 60)
    report = repeats_within(code.plan, horizon)
    found = brute_gap(code, horizon, brute) if code.plan.fields else None
    least = report.gap if report.exact else report.no_sooner
    if report.always:
        assert not found
    elif found is None:
        assert report.gap is None
    elif report.exact:
        assert report.gap == timedelta(hours=found)
    else:
        assert least <= timedelta(hours=found)
        assert report.gap is None or report.gap >= timedelta(hours=found)


def three_years(each):
    """Every so many minutes of three years, in UTC."""
    start = datetime(2027, 1, 1, tzinfo=UTC)
    return (start + timedelta(minutes=minute) for minute in range(0, (365 * 3 + 1) * 1440, each))


@pytest.mark.parametrize(
    ("line", "texts"),
    [
        ('p(dM) " " p(HH:mm)', lambda t: [f"{t.day}{t.month} {t.hour:02}:{t.minute:02}"]),
        ("p(dMyy)", lambda t: [f"{t.day}{t.month}{t.year % 100:02}"]),
        ("p(yy) p(D) p(d)", lambda t: [f"{t.year % 100:02}{t.timetuple().tm_yday}{t.day}"]),
        ('p(M) p(d) "L" p(yy)', lambda t: [f"{t.month}{t.day}L{t.year % 100:02}"]),
        ("p(dMHm)", lambda t: [f"{t.day}{t.month}{t.hour}{t.minute}"]),
        ("p(dMHmm)", lambda t: [f"{t.day}{t.month}{t.hour}{t.minute:02}"]),
        ('p(Hm) "/" p(yyDDD)', lambda t: [f"{t.hour}{t.minute}/{t:%y%j}"]),
        ("p(d) p(H) p(yyyy)", lambda t: [f"{t.day}{t.hour}{t.year}"]),
        ('p(EEEEE) p(d) nine " " p(yyMM)',
         lambda t: [f"{'MTWTFSS'[t.weekday()]}{t.day}{n} {t:%y%m}" for n in range(1, 13)]),
        ("nine p(dMyy)", lambda t: [f"{n}{t.day}{t.month}{t:%y}" for n in range(1, 13)]),
        ("p(dMyy) nine", lambda t: [f"{t.day}{t.month}{t:%y}{n}" for n in range(1, 13)]),
    ],
)  # fmt: skip
def test_touching_fields_against_every_minute_of_three_years(brute, line, texts):
    code = brute.code_of(
        'clock p in "UTC"\n counter nine from 1 to 12, at end wrap', f"line: {line}"
    )
    report = repeats(code.plan, date(2027, 1, 1), 3)
    each = 1 if "m" in line else 60  # minutes within which nothing changes
    last, best = {}, None
    for step, when in enumerate(three_years(each)):
        for text in texts(when):
            before = last.get(text, step)
            if before < step - 1 and (best is None or step - before - 1 < best):
                best = step - before - 1
            last[text] = step
    assert report.exact
    assert report.gap == (None if best is None else timedelta(minutes=best * each))


@pytest.mark.parametrize(
    "line",
    [
        '"L" packed(dMyy)',
        "crew packed(d) daily",
        "packed(dMyy) round",
        'lot packed(d) " " packed(MMyy)',
        'packed(EEE) " " packed(H) crew',
        'packed(EEE) " " daily packed(M)',
        "packed(HH:mm:ss) crew",
        'round packed(D) " " packed(Hm)',
        'packed(ddMM) round " " packed(HHmm)',
        "note packed(dMHmm)",
        'packed(yy) note "-" packed(e)',
        'round(00, last 1) packed(dM) "/" note',
    ],
)
def test_trace_finds_what_prints_again_at_both_moments_and_no_earlier(brute, line):
    code = brute.code_of(DECLARED, f"line: {line}")
    report = repeats(code.plan, date(2027, 1, 1), 20)
    assert report.exact and report.gap
    last, again = (minute_of(w.instant.when) for w in (report.last, report.again))
    result = trace_between(code.plan, report.again.lines, last, again + 1)
    spans = [(minute_of(match.start), minute_of(match.until)) for match in result.matches()]
    assert {*spans} == {(last, last + 1), (again, again + 1)}
    assert again - last - 1 == report.gap // timedelta(minutes=1)


def test_the_code_found_by_hand_comes_again_within_the_year(brute):
    # "L11127" is 11 January and 1 November 2027; "L31127", 31 January and 3 November, is sooner
    code = brute.code_of('clock p in "UTC"', 'line: "L" p(dMyy)')
    report = repeats(code.plan, date(2027, 1, 1))
    assert report.first.lines == report.again.lines == ("L31127",)
    assert report.gap == datetime(2027, 11, 3) - datetime(2027, 2, 1)


def test_a_counter_cut_to_its_last_digits_comes_round(brute):
    declared = DECLARED.replace("once from 1 to 11", "once from 1 to 9999, each 3 times")
    code = brute.code_of(declared, "line: packed(dd.MM.yyyy) once(0000, last 2)")
    report = repeats(code.plan, date(2027, 1, 1))
    assert report.rounds == (Round("once", 300, SHOWN_IN_PART),)
    assert report.verdict(timedelta(days=1)) == "cannot say"
    both = brute.code_of(declared, "line: once(0000, first 2) packed(dd) once(0000, last 2)")
    report = repeats(both.plan, date(2027, 1, 1))
    assert (report.rounds, report.never[:12]) == ((), "counter once")
    assert report.verdict(timedelta(days=10_000)) == "not within"


def test_a_counter_that_wraps_leaves_open_how_soon_it_prints_again(brute):
    code = brute.code_of(DECLARED, "line: packed(dd MMM yyyy) round(00)")
    report = repeats(code.plan, date(2027, 1, 1))
    assert (report.gap, report.rounds) == (None, (Round("round", 5, WRAPS),))
    assert report.verdict(timedelta(days=500)) == "cannot say"


def test_fields_that_are_chosen_are_read_as_they_stand(brute):
    apart = brute.code_of('clock p in "UTC"', 'line: p(d) "/" p(M) p(yy)')
    assert repeats(apart.plan, date(2027, 1, 1), 10, fields=["p"]).gap is None
    joined = brute.code_of('clock p in "UTC"\n text lot = p(d) p(M)', 'line: "X" lot p(yy)')
    lot = repeats(joined.plan, date(2027, 1, 1), 10, fields=["lot"])
    assert lot.gap == datetime(2028, 1, 11) - datetime(2027, 11, 2)  # "111"
    gap = datetime(2027, 11, 3) - datetime(2027, 2, 1)
    assert repeats(joined.plan, date(2027, 1, 1), 10).gap == gap


def test_an_input_that_may_be_anything_beside_greek_names_is_not_cleared(brute):
    declared = 'language el\n clock p in "UTC"\n input lot length 0 to 3, default "A"'
    code = brute.code_of(declared, "line: lot p(MMM) p(d) p(yyyy)")
    report = repeats(code.plan, date(2027, 1, 1), 3)
    assert not report.exact
    assert report.verdict(timedelta(days=1)) == "cannot say"


@pytest.mark.parametrize(
    "line", ["round packed(dM) lot", "packed(d) packed(m) daily", "packed(HHmmss, last 3)"]
)
def test_where_a_budget_ends_both_sides_are_told_and_nothing_is_cleared(brute, line):
    declared = DECLARED.replace("[12]{0,2}", "[0-9A-Z]{0,9}").replace(
        "to 12, at end wrap", "to 99999999, at end wrap"
    )
    code = brute.code_of(declared, f"line: {line}")
    report = repeats(code.plan, date(2027, 1, 1))
    assert not report.exact
    assert report.why
    assert report.no_sooner == timedelta(0)
    assert report.verdict(timedelta(minutes=1)) == "cannot say"


@pytest.mark.parametrize(
    ("line", "check", "text"),
    [
        # a check digit over the whole year and a number, of a date of which less is printed
        ("p(ddMM) k", "p(yyyyMMdd) c(0)", "{0:%d%m}{1}"),
        ("p(MMyy) k c(0)", "p(ddMM) c(0)", "{0:%m%y}{1}{2}"),
        ("p(ddMM) k c(0)", "p(yyyy) c(0)", "{0:%d%m}{1}{2}"),
        ('p(EEEEE) "/" k', "p(yyDDD) c(0)", "{3}/{1}"),
    ],
)
def test_checks_over_dates_that_are_printed_in_part(brute, line, check, text):
    """GS1 General Specifications, 7.9: weights 3 and 1 from the right, up to a multiple of ten."""
    code = brute.code_of(
        f'clock p in "UTC" counter c from 1 to 4, at end wrap check k = gs1-mod10 of {check}',
        f"line: {line}",
    )
    digits = check.replace("p(", "{0:").replace(" c(0)", "{2}").replace(")", "}")
    pattern = digits.replace("yyyy", "%Y").replace("yy", "%y").replace("MM", "%m")
    pattern = pattern.replace("DDD", "%j").replace("dd", "%d")
    last, best = {}, None
    for number in range(30 * 366):
        day = datetime(2027, 1, 1, tzinfo=UTC) + timedelta(days=number)
        if day >= datetime(2057, 1, 1, tzinfo=UTC):
            break
        for value in range(1, 5):
            spelled = pattern.format(day, 0, value)
            weighed = sum(int(d) * (3, 1)[i % 2] for i, d in enumerate(reversed(spelled)))
            shown = text.format(day, -weighed % 10, value, "MTWTFSS"[day.weekday()])
            before = last.get(shown, number)
            if before < number - 1 and (best is None or number - before - 1 < best):
                best = number - before - 1
            last[shown] = number
    report = repeats(code.plan, date(2027, 1, 1), 30)
    found = None if best is None else timedelta(days=best)
    if report.exact:
        assert report.gap == found
    else:
        assert report.no_sooner <= found <= (report.gap or found)
        assert report.no_sooner > timedelta(0)


def test_a_text_that_another_row_prints_in_between_goes_on(brute):
    # "2" "1" "11" until two in the afternoon, "2" "11" "1" until six and "21" "11" "" from then on
    # are one run of "2111"
    code = brute.code_of(DECLARED, "line: packed(table step) crew lot")
    report = repeats_within(code.plan, brute.stretch("2027-10-29 05:00", 60 * 60))
    assert report.gap == timedelta(hours=8)
    assert not report.exact
    assert report.no_sooner == timedelta(hours=4)
