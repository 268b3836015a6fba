"""Findings that are known and accepted: silenced, listed with their reason, never lost."""

import pytest

from rasterc.checks.registry import report

DATE = """clock packed in "UTC"
{}
block {{ {} line: packed(dd/MM/yyyy) }}
block {{ line: packed(dd-MM-yy) }}
expect at 2027-11-25 14:05 {{ "25/11/2027" "25-11-27" }}
"""
SILENCE = 'silence ambiguous-date because "sold in Ireland only"'


def spans(findings):
    return [f.span.text for f in findings if f.rule == "ambiguous-date"]


def test_in_the_message_it_holds_for_all_of_it(bench):
    found = report(bench.subject(DATE.format(SILENCE, "")))
    assert found.findings == ()
    assert len(found.silenced) == 2
    assert {one.reason for one in found.silenced} == {"sold in Ireland only"}


def test_in_a_block_it_holds_for_the_block(bench):
    found = report(bench.subject(DATE.format("", SILENCE)))
    assert spans(found.findings) == ["packed(dd-MM-yy)"]
    assert spans(one.finding for one in found.silenced) == ["packed(dd/MM/yyyy)"]


def test_without_one_nothing_is_silenced(bench):
    found = report(bench.subject(DATE.format("", "")))
    assert len(spans(found.findings)) == 2
    assert found.silenced == ()


@pytest.mark.parametrize(
    ("name", "rule", "said"),
    [
        ("ambigous-date", "bad-silence", 'did you mean "ambiguous-date"'),
        ("missing-glyph", "bad-silence", "put right what missing-glyph finds"),
        ("raster-overflow", "bad-silence", "put right"),
        ("look-alike", "unused-silence", "take the silence out"),
        ("date-form", None, ""),  # of a set this profile does not choose: not looked for
    ],
)
def test_a_silence_that_silences_nothing_is_reported(bench, name, rule, said):
    body = DATE.format(f'{SILENCE} silence {name} because "why"', "")
    found = report(bench.subject(body)).findings
    assert [f.rule for f in found] == ([rule] if rule else [])
    assert said in "".join(f.remedy for f in found)


def test_what_cannot_be_printed_cannot_be_silenced(bench):
    body = 'silence missing-glyph because "looks fine"\nblock { line: "größe" }'
    rules = [f.rule for f in report(bench.subject(body, raster=5)).findings]
    assert "missing-glyph" in rules
    assert "bad-silence" in rules


def test_several_reasons_for_one_rule_in_several_blocks(bench):
    body = DATE.format("", SILENCE).replace(
        "block { line: packed(dd-MM-yy)",
        'block { silence ambiguous-date because "a test code" line: packed(dd-MM-yy)',
    )
    found = report(bench.subject(body))
    assert found.findings == ()
    assert [one.reason for one in found.silenced] == ["sold in Ireland only", "a test code"]
