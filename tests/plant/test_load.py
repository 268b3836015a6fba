"""Plant files: what they mean, and every fault with its line."""

import glob
import json
import os
import re
import tomllib
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from rasterc.diagnostics import InputError
from rasterc.plant import Defaults, Plant, find_plant, folder_plant, load_plant
from rasterc.plant.file import json_schema
from rasterc.plant.finding import Ground
from rasterc.plant.load import parse_plant
from rasterc.plant.reference import reference
from rasterc.profile.model import RuleSet

GOOD = """\
name = "the plant"
rules = ["gs1"]
tables = ["tables/products.csv"]

[defaults]
zone = "Europe/Dublin"
language = "en"
horizon_years = 7

[[line]]
name = "one"
profile = "fast.toml"
rules = ["us-food"]
speeds_m_s = [0.5]

[[line.silence]]
rule = "two-digit-year"
because = "kept for days"

[[line]]
name = "two"
profile = "slow.toml"

[[message]]
file = "a.rasterc"
lines = ["one"]
at = "2027-11-25 14:05"
set = ["case=42", "lot=A=B"]
rules = ["egg"]

[[message.silence]]
rule = "look-alike"
because = "read by people who know it"

[[message]]
file = "deep/**/*.rasterc"

[[silence]]
rule = "serial-repeats"
because = "short-lived"
lines = ["two"]
messages = ["deep/*.rasterc"]
"""


def read(folder, text):
    return parse_plant(text, folder / "plant.toml")


def told(folder, text):
    """What is told of a plant file, in lines."""
    with pytest.raises(InputError) as caught:
        read(folder, text)
    lines = []
    for fault in caught.value.diagnostics:
        lines.append(f"{fault.span.line}: {fault.code}: {fault.message}")
        lines += [f"   help: {fault.help}"] if fault.help else []
    return lines


def test_a_whole_plant_is_read(folder):
    (folder / "plant.toml").write_text("\ufeff" + GOOD, encoding="utf-8")
    plant = load_plant(folder / "plant.toml")
    assert (plant.name, plant.file, plant.folder) == ("the plant", folder / "plant.toml", folder)
    assert plant.tables == (folder / "tables/products.csv",)
    assert plant.defaults == Defaults("Europe/Dublin", "en", 7)
    assert [line.name for line in plant.lines] == ["one", "two"]
    shown = [(run.file.stem, run.line.name, run.by_pattern, run.place.line) for run in plant.runs]
    assert shown == [
        ("a", "one", False, 25),
        ("c", "one", True, 36),
        ("c", "two", True, 36),
        ("d", "one", True, 36),
        ("d", "two", True, 36),
    ]
    first = plant.runs[0]
    assert (first.at, first.settings) == ("2027-11-25 14:05", ("case=42", "lot=A=B"))
    assert first.rules == (RuleSet.GS1, RuleSet.US_FOOD, RuleSet.EGG)
    assert [run.file.stem for run in plant.runs[1:3]] == ["c", "c"]
    assert plant.files == tuple(dict.fromkeys(run.file for run in plant.runs))


def test_silences_hold_where_they_are_meant(folder):
    plant = read(folder, GOOD)
    held = {(run.file.stem, run.line.name): [s.rule for s in run.silences] for run in plant.runs}
    assert held == {
        ("a", "one"): ["two-digit-year", "look-alike"],
        ("c", "one"): ["two-digit-year"],
        ("c", "two"): ["serial-repeats"],
        ("d", "one"): ["two-digit-year"],
        ("d", "two"): [],  # deep/*.rasterc does not go deeper
    }
    assert [(s.rule, s.because, s.place.line) for s in plant.silences] == [
        ("serial-repeats", "short-lived", 38),
        ("two-digit-year", "kept for days", 16),
        ("look-alike", "read by people who know it", 31),
    ]


def test_a_line_has_its_speeds_and_all_rules_that_are_asked_for(folder):
    run, _, two, *_ = read(folder, GOOD).runs
    profile = run.load_profile()
    assert profile.line.speeds_m_s == [0.5]
    assert profile.rules == [
        RuleSet.GENERAL, RuleSet.EU_FOOD, RuleSet.GS1, RuleSet.US_FOOD, RuleSet.EGG,
    ]  # fmt: skip
    profile = two.load_profile()
    assert profile.line.speeds_m_s == [1, 2.5]
    assert profile.rules == [RuleSet.GENERAL, RuleSet.EU_FOOD, RuleSet.GS1]


def test_a_file_that_is_named_is_left_out_of_patterns(folder):
    text = '[[message]]\nfile = "*.rasterc"\n[[message]]\nfile = "./a.rasterc"\n'
    text += 'at = "2027-01-01 01:00"'
    (folder / "leads-out.rasterc").unlink()
    plant = read(folder, text)
    assert [(run.file.name, run.at, run.line) for run in plant.runs] == [
        ("b.rasterc", None, None),
        ("a.rasterc", "2027-01-01 01:00", None),
    ]
    assert plant.name == "plant"
    assert plant.runs[0].load_profile() is None


CASES = (Path(__file__).parent / "bad.txt").read_text(encoding="utf-8").split("=== ")[1:]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.partition("\n")[0])
def test_every_fault_is_told_at_its_line(folder, case):
    text, _, expected = case.partition("\n")[2].partition("---\n")
    assert told(folder, text) == expected.rstrip().split("\n")


@given(
    st.text(max_size=200)
    | st.builds(
        lambda i, j, s: GOOD[:i] + s + GOOD[j:],
        st.integers(0, len(GOOD)),
        st.integers(0, len(GOOD)),
        st.text("=[]\"'\n.#{}0x-*/", max_size=6),
    )
)
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_no_text_makes_it_fail_otherwise(folder, text):
    try:
        assert isinstance(read(folder, text), Plant)
    except InputError as error:
        assert error.diagnostics


parts = st.sampled_from(["**", "*", "x", "?", "x*", "[xy]", "[!x]*"])


@given(st.lists(parts, max_size=4), st.sampled_from(["*.rasterc", "a*", "[ab].rasterc", "?.*"]))
def test_patterns_mean_what_the_shell_means(tree, before, last):
    """As `glob.glob` of the standard library, on a real tree."""
    pattern = "/".join((*before, last))
    hidden = {"recursive": True, "include_hidden": True}
    expected = glob.glob(pattern, root_dir=tree, **hidden)  # noqa: PTH207
    ground = Ground(tree)
    found = {ground.name(path) for path in ground.everything() if ground.means(pattern, path)}
    assert found == {one for one in expected if one.endswith(".rasterc")}


@pytest.fixture(scope="module")
def tree(tmp_path_factory):
    top = tmp_path_factory.mktemp("tree")
    for folder in ("", "x", "xy/x", "y/x/xy"):
        (top / folder).mkdir(parents=True, exist_ok=True)
        for name in ("a.rasterc", "ab.rasterc", "[a].rasterc", ".a.rasterc", "a.toml"):
            (top / folder / name).touch()
    return top


def test_the_nearest_plant_file_above_is_found(folder, monkeypatch):
    assert find_plant(folder / "deep/er") is None
    (folder / "plant.toml").write_text(GOOD)
    assert find_plant(folder / "deep/er") == folder.resolve() / "plant.toml"
    monkeypatch.chdir(folder / "deep")
    assert find_plant(Path()) == Path("../plant.toml")
    assert find_plant(Path("er")) == Path("../plant.toml")
    (folder / "deep/plant.toml").mkdir()  # no file
    assert find_plant(Path()) == Path("../plant.toml")
    monkeypatch.chdir(folder)
    assert find_plant(Path()) == Path("plant.toml")


FILES = {
    "a.rasterc": {"a.rasterc", "?.rasterc", "**/*.rasterc"},
    "b.rasterc": {"b.rasterc", "?.rasterc", "**/*.rasterc"},
    "deep/c.rasterc": {"deep/c.rasterc", "deep/*", "**/*.rasterc"},
    "deep/er/d.rasterc": {"deep/er/d.rasterc", "deep/*/[d-f]*", "**/*.rasterc"},
}
"""Files, and what means each of them."""
some_lines = st.none() | st.frozensets(st.sampled_from(["one", "two", "three"]), min_size=1)
some_messages = st.none() | st.frozensets(st.sampled_from(sorted(set().union(*FILES.values()))))
PROFILES = "".join(
    f'[[line]]\nname = "{name}"\nprofile = "fast.toml"\n' for name in ("one", "two", "three")
)


@given(
    st.dictionaries(st.sampled_from(sorted(FILES)), some_lines, min_size=1),
    st.lists(st.tuples(some_lines, some_messages), max_size=4),
)
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_each_message_runs_where_it_is_meant_to_and_is_silenced_there(folder, entries, silences):
    text = PROFILES
    for file, lines in entries.items():
        text += f'[[message]]\nfile = "{file}"\n' + listed("lines", lines)
    known = set().union(*(FILES[file] for file in entries))  # what means no message is a fault
    meant = {(lines, (messages and messages & known) or None) for lines, messages in silences}
    for lines, messages in meant:
        text += '[[silence]]\nrule = "look-alike"\nbecause = "x"\n'
        text += listed("lines", lines) + listed("messages", messages)
    plant = read(folder, text)
    expected = [
        (file, line, sum(
            (not on or line in on) and (not of or bool(of & FILES[file])) for on, of in meant
        ))
        for file, lines in entries.items()
        for line in (sorted(lines) if lines else ("one", "two", "three"))
    ]  # fmt: skip
    found = [
        (run.file.relative_to(folder).as_posix(), run.line.name, len(run.silences))
        for run in plant.runs
    ]
    assert found == expected


def listed(key, names):
    return "" if not names else f"{key} = {json.dumps(sorted(names))}\n"


def test_no_more_than_can_be_looked_at(folder):
    lines = "".join(f'[[line]]\nname = "{n}"\nprofile = "fast.toml"\n' for n in range(500))
    for number in range(250):
        (folder / f"deep/{number}.rasterc").touch()
    text = lines + '[[message]]\nfile = "deep/*.rasterc"\n'
    assert told(folder, text) == [
        "1502: too-large: more than 100,000 messages on lines",
        "   help: split the plant into several",
    ]


def test_a_folder_without_a_plant_file_is_a_plant_without_lines(folder):
    (folder / "leads-out.rasterc").unlink()
    plant = folder_plant(folder)
    assert (plant.name, plant.file, plant.lines) == ("plant", None, ())
    assert [run.file.stem for run in plant.runs] == ["a", "b", "c", "d"]
    assert all(run.line is None and run.by_pattern for run in plant.runs)
    for empty, code in ((folder / "tables", "no-message"), (folder / "none", "cannot-read")):
        with pytest.raises(InputError) as caught:
            folder_plant(empty)
        assert [d.code for d in caught.value.diagnostics] == [code]


def test_files_that_cannot_be_read_are_faults(folder):
    (folder / "latin.toml").write_bytes(b'name = "\xe9"')
    os.mkfifo(folder / "pipe.toml")
    for name, code in [
        ("none.toml", "cannot-read"), ("deep", "not-a-file"), ("latin.toml", "not-text"),
        ("pipe.toml", "not-a-file"),
    ]:  # fmt: skip
        with pytest.raises(InputError) as caught:
            load_plant(folder / name)
        assert [d.code for d in caught.value.diagnostics] == [code]


def test_a_profile_with_faults_is_told_when_it_is_loaded(folder):
    (folder / "slow.toml").write_text("name = 3")
    [run] = [run for run in read(folder, GOOD).runs if run.line.name == "two"][:1]
    with pytest.raises(InputError) as caught:
        run.load_profile()
    assert caught.value.diagnostics[0].span.source.name == str(folder / "slow.toml")


def test_a_good_file_keeps_to_the_schema_and_the_reference_names_every_key(folder):
    # JSON Schema draft 2020-12
    schema = json.loads(json.dumps(json_schema()))
    Draft202012Validator.check_schema(schema)
    Draft202012Validator(schema).validate(tomllib.loads(GOOD))
    text = reference()
    for definition in schema["$defs"].values():
        for key, value in definition.get("properties", {}).items():
            assert value.get("description") or "$ref" in json.dumps(value)
            assert key in text


def test_the_plant_of_the_readme_is_one():
    top = Path(__file__).parents[2]
    readme = (top / "README.md").read_text(encoding="utf-8")
    [text] = re.findall(r"```toml\n(name = .*?)```", readme, re.DOTALL)
    plant = parse_plant(text, top / "shared" / "plant.toml")
    assert [(run.file.stem, run.line.name, run.at) for run in plant.runs] == [
        ("best-before", "bottles", "2027-11-25 14:05")
    ]
    assert [silence.rule for silence in plant.runs[0].silences] == ["two-digit-year"]
