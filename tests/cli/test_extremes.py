"""`extremes` and `repeats` as commands: text, JSON, pictures, exit codes and errors."""

import json
from pathlib import Path

import pytest
import typer
from PIL import Image
from typer.testing import CliRunner

from rasterc.cli.extremes import extremes
from rasterc.cli.repeats import repeats

SHARED = Path(__file__).parents[2] / "shared"
MESSAGES = SHARED / "messages"
BEST = MESSAGES / "best-before.rasterc"
CAN = MESSAGES / "can-base.rasterc"
MILK = MESSAGES / "use-by-milk.rasterc"
BOTTLE = SHARED / "profiles" / "bottle-16.toml"
FROM = ["--from", "2027-01-01"]

app = typer.Typer(pretty_exceptions_enable=False)
app.command("extremes")(extremes)
app.command("repeats")(repeats)


def rasterc(*arguments: object, code: int = 0) -> str:
    """Run a command; its output, or its complaints when it has no output."""
    done = CliRunner().invoke(app, [str(argument) for argument in arguments])
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        raise done.exception
    assert done.exit_code == code, done.output
    return done.stdout or done.stderr


def test_extremes_reads_in_80_columns():
    text = rasterc("extremes", CAN, *FROM, "--profile", BOTTLE)
    assert max(map(len, text.splitlines())) <= 80
    for part in (
        "every minute and every value: 8,766,112,338 strings",
        "75 strokes, 25.54 mm",
        "at most",
        "ul of ink",
        "best                            2028-06-30 to 2038-06-30",
        "clocks go back in Europe/Dublin: 2027-10-31 01:00 (the second time)",
        "can at its last value, then wraps: 2027-01-01 00:00, can 99999",
    ):
        assert part in text


def test_extremes_in_json_can_be_resolved_again():
    from rasterc.api import load

    code = load(BEST)
    [message] = json.loads(rasterc("extremes", BEST, *FROM, "--json"))["messages"]
    assert message["strings_exact"] is True
    for extreme in message["extremes"]:
        witness = extreme["witness"]
        printed = code.resolve(witness["at"], counters=witness["counters"])
        assert list(printed.lines) == witness["lines"]
        if extreme["measure"] == "most-drops":
            assert printed.strokes().drops == extreme["value"]


def test_extremes_can_be_narrowed_and_drawn(tmp_path):
    folder = tmp_path / "pictures"
    options = ["--measure", "longest", "--measure", "densest", "--window", 12, "--out", folder]
    text = rasterc("extremes", CAN, *FROM, "--years", 2, "--profile", BOTTLE, *options)
    assert "most drops in any 12 strokes" in text
    assert "instants worth a look" not in text
    names = sorted(path.name for path in folder.iterdir())
    assert names == ["can-base-densest.png", "can-base-longest.png"]
    with Image.open(folder / names[0]) as picture:
        assert picture.width > picture.height > 16


def test_extremes_exits_1_when_a_value_cannot_be_printed(tmp_path):
    file = tmp_path / "gap.rasterc"
    file.write_text(
        'message gap { raster 7 font upright-7 clock packed in "Europe/Dublin"\n'
        '  table quarter { "1" -> "A"  "2" -> "B"  "3" -> "C" }\n'
        "  block { line: packed(Q, table quarter) } }\n"
    )
    text = rasterc("extremes", file, *FROM, code=1)
    assert "gap.rasterc:3:" in text
    assert 'no row for "4"' in text
    assert "at 2027-10-01 00:00" in text
    [message] = json.loads(rasterc("extremes", file, *FROM, "--json", code=1))["messages"]
    assert message["faults"][0]["instant"]["at"].startswith("2027-10-01T00:00")


def test_repeats_tells_the_time_and_an_example():
    text = rasterc("repeats", MILK, *FROM)
    assert "prints again 59 minutes after it last printed" in text
    assert "prints again  2027-10-31 01:00 (the second time)" in text
    assert "never prints again" in rasterc("repeats", MESSAGES / "cable-metre.rasterc", *FROM)
    text = rasterc("repeats", BEST, *FROM)
    assert "does not print again before 2147-01-01" in text


def test_repeats_of_a_field_against_a_shelf_life():
    field = ["--field", "use-by", *FROM]
    assert "not within the shelf life of 18 months" in rasterc(
        "repeats", MILK, *field, "--shelf-life", "18 months"
    )
    text = rasterc("repeats", CAN, "--field", "serial", *FROM, "--shelf-life", "10 years", code=1)
    assert "10 years from start to start" in " ".join(text.split())
    assert "counter can wraps: numbers come again after 99,999 prints" in text
    assert "within the shelf life of 10 years" in text
    assert max(map(len, text.splitlines())) <= 80
    arguments = ["--field", "serial", *FROM, "--shelf-life", "9 years", "--json"]
    [message] = json.loads(rasterc("repeats", CAN, *arguments, code=1))["messages"]
    assert message["verdict"] == "cannot say"  # the counter wraps, at a speed that is not known
    assert message["gap_seconds"] > 9 * 365 * 86400
    arguments[1] = "seamed"
    [message] = json.loads(rasterc("repeats", CAN, *arguments))["messages"]
    assert message["verdict"] == "not within"


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["extremes", "nowhere.rasterc"], "nowhere.rasterc"),
        (["extremes", BEST, "--from", "soon"], "not a date and time"),
        (["extremes", BEST, "--years", "0"], "1 to 1000"),
        (["extremes", BEST, "--measure", "longst"], 'did you mean "longest"'),
        (["extremes", BEST, "--window", "0"], "window"),
        (["extremes", BEST, "--out", "no/where"], "no/where"),
        (["extremes", BEST, "--message", "x"], "elderflower"),
        (["repeats", BEST, "--field", "bets"], 'did you mean "best"'),
        (["repeats", BEST, "--shelf-life", "long"], "18 months"),
    ],
)  # fmt: skip
def test_bad_input_is_answered_with_exit_2(arguments, said, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert said in rasterc(*arguments, code=2)
    assert list(tmp_path.iterdir()) == []
