"""Every rule over every message at hand: none fails, and each finding says what to do."""

import re
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rasterc.api import load_text
from rasterc.checks.model import EXAMPLE_PROFILE
from rasterc.checks.registry import all_rules, report
from rasterc.checks.samples import sample_inputs
from rasterc.checks.survey import survey
from rasterc.diagnostics import InputError
from rasterc.profile.load import parse_profile
from rasterc.profile.model import RuleSet
from rasterc.resources import resource_dir
from rasterc.values import Instant

GOLDENS = Path(__file__).parents[1] / "goldens" / "messages"
REFERENCE = (resource_dir("grammar") / "README.md").read_text(encoding="utf-8")
MESSAGES = {
    **{
        re.search(r"message ([\w-]+)", text)[1]: text
        for text in re.findall(r"```rasterc\n(.*?)```", REFERENCE, re.DOTALL)
    },
    **{
        path.stem: re.search(r"--- message\n(.*?)\n--- ", path.read_text("utf-8"), re.DOTALL)[1]
        for path in sorted(GOLDENS.glob("*.txt"))
    },
}
EVERY_SET = ", ".join(f'"{name}"' for name in RuleSet)
EVERYTHING = parse_profile(
    EXAMPLE_PROFILE.replace('["general"]', f"[{EVERY_SET}]")
    + "shelf_life_days = 100\nlargest_surface_cm2 = 50\nproducts_per_day = 10_000\n"
)


def hold(code, when, profile):
    printed = code.resolve_at(Instant(when, {}, sample_inputs(code.plan, {}, when)))
    found = report(printed.subject(profile))
    for finding in found.findings:
        assert finding.rule in all_rules()
        assert finding.message
        assert finding.remedy
        assert finding.render().startswith(finding.span.source.name)
        assert finding.as_dict()["line"]
    return found


@pytest.mark.parametrize("name", MESSAGES)
def test_every_rule_reads_every_message(name):
    code = load_text(MESSAGES[name], folder=GOLDENS)
    when = datetime(2027, 11, 25, 14, 5, tzinfo=UTC)
    hold(code, when, None)
    found = hold(code, when, EVERYTHING)
    assert hold(code, when, EVERYTHING) == found  # the same each time
    printed = code.resolve_at(Instant(when, {}, sample_inputs(code.plan, {}, when)))
    looked_at = survey(printed.subject(EVERYTHING), 1)
    rules = {finding.rule for finding in looked_at.report.findings}
    assert rules >= {finding.rule for finding in found.findings if not finding.at}


LATER = datetime(2030, 7, 3, 4, 55, tzinfo=UTC)


def places(rule, subject):
    """Where a rule finds something in the message, without the numbers of the print."""
    return [(found.rule, found.severity, found.span) for found in rule.of_message(subject)]


@pytest.mark.parametrize("name", MESSAGES)
def test_what_a_rule_finds_in_the_message_is_the_same_at_every_instant(name):
    # `Checker` and `survey` look it up once, so it must not depend on the print it is found in.
    code = load_text(MESSAGES[name], folder=GOLDENS)
    last = {counter.name: counter.values[-1] for counter in code.message.counters.values()}
    early, late = (
        code.resolve_at(Instant(when, counters, sample_inputs(code.plan, {}, when))).subject(
            EVERYTHING
        )
        for when, counters in ((datetime(2027, 11, 25, 14, 5, tzinfo=UTC), {}), (LATER, last))
    )
    for rule in all_rules().values():
        assert places(rule, early) == places(rule, late)


PIECE = st.sampled_from(
    [
        '"BEST BEFORE "', '"USE BY "', '" L"', '"(17)"', '"(10)"', '"(01)0629"', '"EXP "', '" "',
        '"/"', "packed(yyMMdd)", "packed(HH:mm)", "best(dd.MM.yy)", "best(MMM yyyy, upper)",
        "best(M, table month)", "packed(hh)", "packed(DDD, last 2)", "began(EEE)", "crew", "lot",
        "n(000)", "n", "began(YYYY'W'ww)", "digit", "serial", "fixed(dd/MM/yyyy)", "made(mm)",
        "packed(table quarter)", "best(y, last 1)", "best(yyyy, first 3)",
    ]
)  # fmt: skip
LINES = st.lists(st.lists(PIECE, max_size=6), min_size=1, max_size=2)
DECLARED = """
clock packed in "{zone}", day from {start}
clock best = packed {life}
clock made = packed - 90 minutes
clock fixed = 2028-02-29
shift crew of packed {{ "A" from 06:00 on mon to fri "B" from 14:00 "C" from 22:30 }}
clock began = start of crew + 28 days
table month from 1, letters "ABCDEFGHJKL"
table quarter every 15 minutes of hour, letters "ABCD"
counter n from 1 to 999, {restart}, at end {end}
input lot matching "{pattern}"
text serial = "SN" lot n(000)
check digit = iso7064-mod37-36 of "A" n(000)
silence {rule} because "why not"
"""


@settings(max_examples=60, deadline=None)
@given(
    lines=LINES,
    zone=st.sampled_from(["Europe/Dublin", "UTC", "Pacific/Apia", "Australia/Lord_Howe"]),
    start=st.sampled_from(["00:00", "06:00", "23:30"]),
    life=st.sampled_from(["+ 9 months to month end", "+ 1 year", "+ 100 days", "- 3 weeks"]),
    restart=st.sampled_from(["restart daily of packed", "restart per crew", "restart never"]),
    end=st.sampled_from(["stop", "wrap"]),
    pattern=st.sampled_from(["[A-Z]{2}[0-9]{4}", ".{1,30}", "[^x]*", "A|BB|[0-9]+"]),
    rule=st.sampled_from(sorted(set(all_rules()) - {"require", "expect"})),
    when=st.datetimes(datetime(2000, 1, 1), datetime(2090, 1, 1), timezones=st.just(UTC)),
)  # fmt: skip
def test_no_message_makes_a_rule_fail(lines, when, **parts):
    body = "\n".join(f"line: {' '.join(pieces)}" for pieces in lines)
    text = f"message m {{ raster 16 font upright-7 {DECLARED.format(**parts)} block {{ {body} }} }}"
    code = load_text(text)
    try:
        hold(code, when, EVERYTHING)
    except InputError as error:  # the table lacks December
        assert {fault.code for fault in error.diagnostics} == {"no-such-key"}
