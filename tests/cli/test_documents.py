"""What --json prints: one object for each command, held against the schema that is published."""

import json
from pathlib import Path

import pytest
import typer
from jsonschema import Draft202012Validator

from rasterc.cli.app import app
from rasterc.cli.documents.common import Refusal
from rasterc.cli.documents.schemas import DOCUMENTS, SAID, schema_of
from rasterc.cli.say import encoded
from rasterc.ledger import Ledger

SHARED = Path(__file__).parents[2] / "shared"
BEST = SHARED / "messages" / "best-before.rasterc"
CAN = SHARED / "messages" / "can-base.rasterc"
BOTTLE = SHARED / "profiles" / "bottle-16.toml"
HEAD = SHARED / "heads" / "head-middle.toml"
JET = Path(__file__).parents[1] / "head" / "jet-trial.toml"
NIGHT = SHARED / "messages" / "night-shift.rasterc"
AT = ["--at", "2027-11-25 14:05"]
PLANT = SHARED / "plants" / "sallowfield" / "plant.toml"
WHEN = ["--between", "2027-01-01", "2027-12-31"]
FROM = ["--from", "2027-01-01", "--years", 1]
BAD = "message bad {\n  raster 99\n  font upright-77\n}\n"
TWICE = ["--at", "2027-10-31 01:30"]  # comes twice in Dublin

LEDGER = ["--ledger", "n.ledger"]
REQUEST = "0c8d4f0e-2f5b-4a39-9d0a-5d3d1b7a6c11"

# What is run, in a folder with the files of `folder`; exit code; and the document that must come.
RUNS = [
    ("show", [BEST, *AT], 0, "show"),
    ("show", [BEST, *TWICE, "--profile", BOTTLE, "--speed", 2.5], 0, "show"),
    ("show", [BEST, *AT, "--out", "a.png"], 0, "show"),
    ("show", ["bad.rasterc"], 2, "diagnostics"),
    ("compile", [BEST, *AT], 0, "compile"),
    ("compile", ["two.rasterc", *AT], 0, "compile"),
    ("compile", [BEST, *AT, "--out", "a.json"], 0, "compile"),
    ("compile", ["two.rasterc", *AT, "--out", "a.png"], 2, "diagnostics"),
    (
        "batch",
        [CAN, *AT, "--count", 9, "--out", "l.csv", *LEDGER, "--allow-repeats"],
        0,
        "batch",
    ),
    ("batch", [BEST, *AT, "--count", 3, "--out", "b.csv"], 0, "batch"),
    ("batch", [BEST, *AT, "--count", 10_000, "--out", "b.csv"], 1, "batch"),
    ("batch", ["mark.rasterc", "--count", 3, "--out", "b.jsonl"], 1, "batch"),
    ("batch", [BEST, *AT, "--rows", "cases.csv", "--out", "b.csv"], 1, "batch"),
    ("batch", [BEST, *AT, "--count", 3, "--out", "b.doc"], 2, "diagnostics"),
    ("check", [BEST, *AT, "--profile", BOTTLE], 0, "check"),
    ("check", ["warns.rasterc", *AT], 1, "check"),
    ("check", ["silent.rasterc", *AT], None, "check"),
    ("check", ["warns.rasterc", "--all", "--years", 1, *AT], 1, "check"),
    ("check", ["bad.rasterc"], 2, None),
    ("extremes", [BEST, *FROM], 0, "extremes"),
    ("extremes", ["lacks.rasterc", *FROM], 1, "extremes"),
    ("extremes", ["bad.rasterc"], 2, "diagnostics"),
    ("repeats", [CAN, *FROM], 0, "repeats"),
    ("repeats", ["two.rasterc", *FROM, "--shelf-life", "3 months"], 1, "repeats"),
    ("repeats", [CAN, "--shelf-life", "soon"], 2, "diagnostics"),
    ("trace", [BEST, *FROM, "--line", "*", "--line", "L27329B 14:?5 0042"], 0, "trace"),
    ("trace", [BEST, *FROM, "--line", "NO", "--line", "NO"], 1, "trace"),
    ("trace", [BEST, "--line", "A", "--from", "soon"], 2, "diagnostics"),
    ("find", ["L 27329B 04711", "--plant", PLANT, *WHEN], 0, "find"),
    ("find", ["BEST BEFORE 31 NOV 2027", "--plant", PLANT, *WHEN], 1, "find"),
    ("find", ["???"], 2, "diagnostics"),
    ("diff", [BEST, BEST, *FROM], 0, "diff"),
    ("diff", ["two.rasterc", "warns.rasterc", *FROM], 1, "diff"),
    ("diff", ["bad.rasterc", BEST], 2, "diagnostics"),
    ("reading", [BEST, *AT], 0, "reading"),
    ("reading", [BEST, *AT, "--lost", 2], 2, "diagnostics"),
    ("fly", ["mark.rasterc", "--profile", HEAD], None, "fly"),
    ("fly", ["mark.rasterc", "--profile", BOTTLE], 2, "diagnostics"),
    ("jet", [HEAD], None, "jet"),
    ("jet", ["bad.rasterc"], 2, "diagnostics"),
    ("jet", [JET], 0, "jet"),
    ("jet", [JET, "--map", "--pressures", "380,390", "--viscosities", "3.5"], 0, "jet"),
    ("jet", [JET, "--modulation", "0.5", "--out", "j.json"], 1, "jet"),
    ("jet", [JET, "--fit", "measured.csv"], 0, "jet"),
    ("jet", [BOTTLE], 2, "diagnostics"),
    ("fmt", ["ugly.rasterc", "--check"], 1, "fmt"),
    ("fmt", ["ugly.rasterc", "--diff"], 1, "fmt"),
    ("fmt", ["ugly.rasterc"], 0, "fmt"),
    ("fmt", ["bad.rasterc"], None, None),
    ("explain", [], 0, "explain"),
    ("explain", ["stroke-rate"], 0, "explain"),
    ("explain", ["stroke-rat"], 2, "diagnostics"),
    ("explain", ["profile"], 0, "explain-profile"),
    ("explain", ["plant"], 0, "explain-plant"),
    ("explain", ["json"], 0, "explain-json"),
    ("explain", ["json", "check"], 0, "explain-json"),
    ("explain", ["json", "chek"], 2, "diagnostics"),
    ("ledger init", ["--ledger", "new.ledger", "--witness", "w.json"], 0, "ledger-init"),
    ("ledger init", ["--ledger", "new.ledger", "--from", "n.ledger"], 0, "ledger-init"),
    ("ledger init", LEDGER, 2, "diagnostics"),
    ("ledger reserve", [BEST, *AT, *LEDGER, "--count", 3], 0, "ledger-reserve"),
    ("ledger reserve", [BEST, *AT, *LEDGER, "--count", 99999], 2, "diagnostics"),
    ("ledger confirm", [REQUEST, *LEDGER, "--printed", 4], 0, "ledger-confirm"),
    ("ledger void", [REQUEST, *LEDGER, "--reason", "torn"], 0, "ledger-void"),
    ("ledger list", [*LEDGER, "--all"], 0, "ledger-list"),
    ("ledger verify", LEDGER, 0, "ledger-verify"),
    ("ledger verify", [*LEDGER, "--witness", "other.json"], 1, "ledger-verify"),
    ("ledger export", [*LEDGER, "--out", "e.csv"], 0, "ledger-export"),
    ("ledger backup", [*LEDGER, "--out", "b.ledger"], 0, "ledger-backup"),
    (
        "ledger advance",
        [BEST, *AT, *LEDGER, "--past", "case=42", "--reason", "seen"],
        0,
        "ledger-advance",
    ),
    ("ledger advance", [*LEDGER, "--reason", "seen"], 2, "diagnostics"),
    ("list", ["."], 2, "list"),
    ("list", [SHARED, "--at", "2027-11-25 14:05"], 0, "list"),
    ("list", ["no-such"], 2, "diagnostics"),
    ("watch", [BEST, *AT, "--rounds", 1], 0, "watch"),
    ("watch", ["no-such"], 2, "diagnostics"),
    ("cache", [], 0, "cache"),
    ("font show", ["upright-7"], 0, "font-show"),
    ("font show", ["upright-7", "--text", "A1", "--out", "f.png"], 0, "font-show"),
    ("font show", ["upright-77"], 2, "diagnostics"),
    ("font audit", ["upright-7"], 0, "font-audit"),
    ("font audit", ["upright-7", "lacks.rasterc"], 1, "font-audit"),
    ("font export", ["upright-5", "--out", "f.txt"], 0, "font-export"),
    ("font export", ["upright-5", "--out", "f.doc"], 2, "diagnostics"),
    ("font import", ["odd.bdf", "--out", "i.bdf"], 0, "font-import"),
    ("font import", ["none.bdf", "--out", "i.bdf"], 2, "diagnostics"),
]
USED_BADLY = ["--no-such", "--json"]


@pytest.fixture
def folder(tmp_path, monkeypatch, request):
    monkeypatch.chdir(tmp_path)
    if "ledger" in request.node.name or "batch" in request.node.name:
        Ledger.create("n.ledger")
        with Ledger.open("n.ledger") as ledger:
            ledger.reserve("pallet", "", 10, "day", REQUEST)
        Path("other.json").write_text('{"ledger":{"id":"another","seq":1,"hash":"0"}}\n{}\n')
    date = 'clock packed in "Europe/Dublin" block {{ line: packed(dd/MM/yy) }} {} }}\n'
    start = "message {} {{ raster 7 font upright-7 "
    warns = start.format("one") + date.format("")
    files = {
        "bad.rasterc": BAD,
        "warns.rasterc": warns,
        "two.rasterc": warns + start.format("two") + 'block { line: "L" } }\n',
        "silent.rasterc": start.format("s")
        + date.format('silence missing-expect because "a draft"'),
        "lacks.rasterc": start.format("lacks")
        + 'clock packed in "UTC" block { line: "A\u0416" packed(yy) } }\n',
        "mark.rasterc": start.format("mark") + 'block { line: "1" } }\n',
        "ugly.rasterc": "message   ugly{raster 7 font upright-7 block{line:\"A\"}}\n",
        "cases.csv": "case\n7\nseven\n8\n",
        "measured.csv": "what,value,sigma\nspeed,19.9,0.1\nspeed,20.0,0.1\nbreakup,9.1,0.1\n",
        "odd.bdf": "STARTFONT 2.1\nCHARS 1\nSTARTCHAR A\nENCODING 65\nDWIDTH 2 0\nBBX 1 1 0 0\n"
        "BITMAP\n80\nENDCHAR\nENDFONT\n",
    }  # fmt: skip
    for name, text in files.items():
        Path(name).write_text(text, encoding="utf-8")
    return tmp_path


def holds(name: str, text: str) -> dict:
    """One JSON object that the schema of ``name`` admits; no NaN, no Infinity."""

    def refuse(constant: str):
        raise AssertionError(constant)

    document = json.loads(text, parse_constant=refuse)
    Draft202012Validator(schema_of(name)).validate(document)
    assert next(iter(document)) == "schema"
    assert isinstance(document["diagnostics"], list)
    return document


@pytest.mark.parametrize(
    ("command", "arguments", "code", "wanted"),
    RUNS,
    ids=[f"{run[0]}-{number}" for number, run in enumerate(RUNS)],
)
def test_every_document_is_as_its_schema_says(program, folder, command, arguments, code, wanted):
    ended = program(*command.split(), *arguments, "--json", code=code)
    document = holds(wanted if wanted in DOCUMENTS else command.replace(" ", "-"), ended.out)
    if wanted is not None:
        assert document["schema"] == f"rasterc/{wanted}/1"
    assert ended.said == ""
    if ended.code == 2:
        assert any(one["severity"] == "error" for one in document["diagnostics"])


@pytest.mark.parametrize("command", sorted({run[0] for run in RUNS}))
def test_a_wrong_command_line_has_the_same_shape(program, folder, command):
    ended = program(*command.split(), *USED_BADLY, code=2)
    [fault] = holds(command.replace(" ", "-"), ended.out)["diagnostics"]
    assert fault["code"] == "bad-usage"
    assert "--no-such" in fault["message"]
    assert f"rasterc {command} --help" in fault["help"]
    assert ended.said == ""


def commands(group, before: str = "") -> dict[str, object]:
    """All commands of the program, by name."""
    found = {}
    for name, command in group.commands.items():
        inner = hasattr(command, "commands")
        found |= commands(command, f"{name} ") if inner else {before + name: command}
    return found


def test_every_command_has_json_and_is_tried():
    known = commands(typer.main.get_command(app))
    assert all(any("--json" in p.opts for p in command.params) for command in known.values())
    elsewhere = {"page"}  # serves until it is stopped: tests/page
    assert {command for command, *_ in RUNS} == set(known) - elsewhere
    further = {"explain-profile", "explain-plant", "explain-json"}
    assert {name.replace(" ", "-") for name in known} | further == set(DOCUMENTS)
    reached = {wanted for *_, wanted in RUNS}
    assert set(DOCUMENTS) - elsewhere <= reached


def test_findings_and_diagnostics_have_the_same_names(program, folder):
    found = holds("check", program("check", "warns.rasterc", *AT, "--json", code=1).out)
    finding = found["messages"][0]["findings"][0]
    faults = holds("show", program("show", "bad.rasterc", "--json", code=2).out)["diagnostics"]
    assert all(set(fault) < set(finding) for fault in faults)
    assert {fault["file"] for fault in faults} == {"bad.rasterc"}
    assert (2, "99") in {(fault["line"], fault["text"]) for fault in faults}


def test_fmt_of_standard_input_puts_the_text_into_the_document(program, folder):
    ended = program("fmt", "-", "--json", input=Path("ugly.rasterc").read_bytes())
    document = holds("fmt", ended.out)
    [file] = document["files"]
    assert file["changed"]
    assert file["text"].startswith("message ugly {\n")


def test_the_files_compile_writes_have_a_schema(program, folder):
    program("compile", BEST, *AT, "--out", "a.json", code=0)
    written = json.loads(Path("a.json").read_text(encoding="utf-8"))
    Draft202012Validator(schema_of("strokes")).validate(written)
    assert written["schema"] == "rasterc/strokes/1"


def test_explain_json_lists_and_prints_every_schema(program):
    listed = program("explain", "json", code=0).out
    for name in SAID:
        assert name in listed
        schema = json.loads(program("explain", "json", *name.split("-", 1), code=0).out)
        Draft202012Validator.check_schema(schema)
        assert schema == json.loads(json.dumps(schema_of(name)))
        assert schema["$schema"].endswith("2020-12/schema")
    assert "did you mean" in program("explain", "json", "chek", code=2).said


def test_what_is_no_number_is_never_written():
    with pytest.raises(ValueError, match="not JSON compliant"):
        encoded(DOCUMENTS["reading"], _reading(float("nan")))
    with pytest.raises(ValueError, match="not JSON compliant"):
        encoded(DOCUMENTS["reading"], _reading(float("inf")))
    holds("reading", encoded(DOCUMENTS["reading"], _reading(0.5)))


def _reading(loss: float) -> dict:
    ends = {"low": 0.0, "high": 1.0}
    chances = {"general": ends, "lost": ends, "moved": ends}
    message = {"message": "m", "loss": loss, "spread": 0.1, **chances}
    return {"diagnostics": [], "messages": [{**message, "lines": [], "pairs": []}]}


def test_what_does_not_fit_its_type_is_not_printed():
    with pytest.raises(ValueError, match="diagnostics"):
        encoded(Refusal, {"diagnostics": [{"severity": "error"}]})
    with pytest.raises(ValueError, match="unknown field"):
        encoded(Refusal, {"diagnostics": [], "more": 1})


def test_nothing_in_a_document_acts_on_a_terminal():
    said = "\x1b[31m \x9b \u202e \ud800 é ♥ \U000e0001\n"
    part = {"code": "c", "message": said, "help": "", "severity": "note"}
    part |= dict.fromkeys(("file", "line", "column", "text"))
    text = encoded(Refusal, {"diagnostics": [part]})
    assert not {c for c in text if not c.isprintable()} - {"\n"}
    assert "é ♥" in text
    [read] = json.loads(text)["diagnostics"]
    assert read["message"] == said.replace("\ud800", "\ufffd")
