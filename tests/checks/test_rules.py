"""Every rule trips on its own example and passes its repaired twin; findings carry their facts."""

import pytest

from rasterc.api import load_text
from rasterc.checks.model import EXAMPLE_MESSAGE, EXAMPLE_PROFILE, NO_ADVICE, Example
from rasterc.checks.registry import active_rules, all_rules, check, find_rule
from rasterc.diagnostics import InputError
from rasterc.profile.load import parse_profile
from rasterc.profile.model import RuleSet
from rasterc.source.formatting.format import format_text

RULES = all_rules()
GROUND = {name: rule for name, rule in RULES.items() if rule.family != "flight"}
"""Rules that fly no drops, which takes its time."""


def findings(example: Example):
    code = load_text(example.message)
    subject = code.resolve(example.at, inputs=example.inputs).subject(
        parse_profile(example.profile)
    )
    return check(subject)


def test_each_rule_has_a_file_that_is_called_as_it_is():
    files = [type(rule).__module__.rpartition(".")[2] for rule in RULES.values()]
    assert files == [name.replace("-", "_") for name in RULES]


@pytest.mark.parametrize("rule", RULES.values(), ids=list(RULES))
def test_the_example_trips_the_rule(rule):
    found = [f for f in findings(rule.trips) if f.rule == rule.id]
    assert found
    for finding in found:
        assert finding.remedy
        assert finding.message
        assert finding.severity is rule.severity
        assert finding.span is not None
        assert finding.span.text


@pytest.mark.parametrize("rule", RULES.values(), ids=list(RULES))
def test_the_repaired_twin_is_quiet_under_every_rule(rule):
    assert findings(rule.passes) == ()


@pytest.mark.parametrize("rule", GROUND.values(), ids=list(GROUND))
def test_many_prints_are_checked_as_one_is(rule):
    for example in (rule.trips, rule.passes):
        code, profile = load_text(example.message), parse_profile(example.profile)
        printed = code.resolve(example.at, inputs=example.inputs)
        [first, again] = code.check_many([printed, printed], profile)
        assert first == again
        assert first.findings == printed.check(profile)


def test_each_of_many_prints_is_held_against_the_rules():
    message = EXAMPLE_MESSAGE.replace("block", 'input lot default "1" block')
    message = message.replace("packed(yyDDD) }", "packed(yyDDD) lot }").replace('329"', '3291"')
    code, profile = load_text(message), parse_profile(EXAMPLE_PROFILE)
    prints = (code.resolve("2027-11-25 14:05", inputs={"lot": lot}) for lot in ("1", "8" * 60, "2"))
    found = [{f.rule for f in report.findings} for report in code.check_many(prints, profile)]
    assert "print-window" not in found[0] | found[2]
    assert "print-window" in found[1]


@pytest.mark.parametrize("rule", RULES.values(), ids=list(RULES))
def test_a_rule_says_why_and_where_from(rule):
    assert len(rule.rationale) > 40
    assert rule.source
    assert rule.__doc__
    assert rule.id == rule.id.lower().replace("_", "-")
    assert rule.question.endswith(("?", ")"))


@pytest.mark.parametrize("rule", RULES.values(), ids=list(RULES))
def test_the_examples_are_in_canonical_words(rule):
    for example in (rule.trips, rule.passes):
        assert format_text(format_text(example.message)) == format_text(example.message)


def test_rules_taken_from_a_law_cite_its_article_and_give_no_advice():
    laws = [rule for rule in RULES.values() if "Regulation" in rule.source or "EU" in rule.source]
    assert len(laws) >= 7
    for rule in laws:
        assert "Article" in rule.source or "Annex" in rule.source
        assert rule.rule_set in (RuleSet.EU_FOOD, RuleSet.EU_MEDICINE, RuleSet.EGG)
    trades = [rule for rule in RULES.values() if rule.rule_set not in ("general", "gs1")]
    for rule in {*laws, *trades} - {RULES["fine-matrix"]}:
        assert rule.rationale.endswith(NO_ADVICE)


def test_general_rules_are_always_on_and_the_others_are_chosen():
    def active(*rules):
        listed = ", ".join(f'"{name}"' for name in rules)
        text = EXAMPLE_PROFILE.replace('["general"]', f"[{listed}]")
        return {rule.rule_set for rule in active_rules(parse_profile(text)).values()}

    assert active() == active("general") == {RuleSet.GENERAL}
    assert active("gs1") == active("general", "gs1") == {RuleSet.GENERAL, RuleSet.GS1}
    assert {rule.rule_set for rule in active_rules(None).values()} == {RuleSet.GENERAL}
    assert {rule.rule_set for rule in RULES.values()} == set(RuleSet)


def test_an_unknown_rule_names_the_nearest():
    with pytest.raises(InputError, match='did you mean "stroke-rate"'):
        find_rule("stroke-rates")


def test_stroke_rate_names_limit_speed_and_rasters():
    [finding] = [f for f in findings(RULES["stroke-rate"].trips) if f.rule == "stroke-rate"]
    # 73900 / ((7 - 1) * 2 + 1 + 2) = 4926.7 strokes/s; 4926.7 * 0.35 mm = 1.724 m/s
    assert finding.limit == pytest.approx(73900 / 15)
    assert finding.measured == pytest.approx(2.5 / 0.35e-3)
    assert "slow to 1.72 m/s" in finding.remedy
    assert "no raster of this profile is fast enough" in finding.remedy  # 5 drops: 2.351 m/s


def test_stroke_rate_offers_the_rasters_that_would_do():
    rule = RULES["stroke-rate"]
    profile = rule.trips.profile.replace("2.5", "2.2")
    [finding] = [f for f in findings(Example(profile=profile)) if f.rule == "stroke-rate"]
    assert "or use a raster of 5 drops" in finding.remedy


def test_the_speed_in_the_remedy_passes():
    profile = RULES["stroke-rate"].trips.profile.replace("2.5", "1.72")
    assert findings(Example(profile=profile)) == ()


WITH = """
message m {{
  raster 7
  font upright-7
  block {{ line: "AB" }}
  require {require}
}}
"""


@pytest.mark.parametrize(
    ("require", "measured", "unit"),
    [
        # two characters of 5 strokes and 1 between: 11 strokes, 10 x 0.35 + 0.4 mm
        ("length <= 3 mm", 3.9, "mm"),
        ("length <= 0.3 cm", 3.9, "mm"),
        ("height >= 3 mm", 6 * 0.35 + 0.4, "mm"),
        ("strokes < 11", 11, ""),
        ("characters > 2", 2, ""),
        # 11 strokes at 0.35 mm and 1.2 m/s
        ("time < 3 ms", 11 * 0.35 / 1.2, "ms"),
    ],
)
def test_what_require_measures(require, measured, unit):
    [finding] = findings(Example(WITH.format(require=require)))
    assert finding.measured == pytest.approx(measured)
    assert finding.unit == unit


@pytest.mark.parametrize(
    "require", ["length = 3.9 mm", "strokes <= 11", "strokes >= 11", "time < 0.004 s", "drops > 20"]
)
def test_a_limit_that_is_just_kept_is_quiet(require):
    assert findings(Example(WITH.format(require=require))) == ()


@pytest.mark.parametrize(
    ("require", "said"),
    [
        ("lenght <= 3 mm", 'did you mean "length"'),
        ("length <= 3", "units: mm, cm, um"),
        ("length <= 3 ms", "units: mm, cm, um"),
        ("strokes <= 3 mm", "leave the unit out"),
    ],
)
def test_a_require_that_makes_no_sense_is_a_finding(require, said):
    [finding] = findings(Example(WITH.format(require=require)))
    assert said in finding.remedy


def test_a_length_without_a_profile_is_reported_as_not_checked():
    code = load_text(WITH.format(require="length <= 3 mm"))
    [finding] = code.resolve().check()
    assert "not checked" in finding.message
    assert "--profile" in finding.remedy


def test_expect_compares_line_by_line_and_counts_lines():
    source = WITH.format(require="strokes > 1").replace(
        "require strokes > 1",
        'expect at 2027-01-01 00:00 { "AC" "X" } expect at 2027-01-01 00:00 { }',
    )
    found = findings(Example(source))
    assert sorted(f.message for f in found) == [
        'another line is printed: "AB"',
        'expected "AC", but "AB" is printed',
        "no such line is printed",
    ]


def test_findings_come_errors_first_and_as_json_values():
    import json

    profile = RULES["stroke-rate"].trips.profile.replace("_mm = 0.4", "_mm = 0.15")
    found = findings(Example(profile=profile))
    assert [f.severity for f in found] == sorted(
        (f.severity for f in found), key=["error", "warning", "note"].index
    )
    documents = json.loads(json.dumps([f.as_dict() for f in found]))
    assert {d["code"] for d in documents} >= {"stroke-rate", "dot-spacing"}
    assert all(d["line"] and d["help"] for d in documents)
