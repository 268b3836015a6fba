"""What must never happen to a user: lost files, hidden faults, silent guesses."""

import json
import os
import signal
import subprocess
import sys
import time
from datetime import UTC, datetime
from pathlib import Path
from xml.etree import ElementTree as Xml

import pytest

SHARED = Path(__file__).parents[2] / "shared"
BEST = SHARED / "messages" / "best-before.rasterc"
BOTTLE = SHARED / "profiles" / "bottle-16.toml"
HEAD = SHARED / "heads" / "head-fine.toml"
AT = ["--at", "2027-11-25 14:05", "--set", "case=42"]
PROGRAM = Path(sys.executable).with_name("rasterc")
PLAIN = 'message {} {{ raster 7 font upright-7 block {{ line: "A" }} }}\n'
WANTS_LOT = "message lots { raster 7 font upright-7 input lot length 1 to 4 block { line: lot } }\n"
CLOCK = """message timed {
  raster 7 font upright-7 clock packed in "Europe/Dublin" block { line: packed(HH:mm) } }
"""


def written(path: Path, text: str) -> Path:
    path.write_text(text)
    return path


# -- reports never overwrite what is not theirs ---------------------------------------------------


def test_a_report_never_overwrites_a_source(program, tmp_path):
    source = written(tmp_path / "a.rasterc", PLAIN.format("a"))
    odd = written(tmp_path / "a.xml", PLAIN.format("a"))  # a message may be called anything
    profile = written(tmp_path / "p.json", BOTTLE.read_text())
    link = tmp_path / "link.sarif"
    link.symlink_to(profile)
    for arguments in (
        (source, "--sarif", source),
        (source, "--junit", source),
        (source, "--sarif", tmp_path / "r.xml"),
        (source, "--junit", tmp_path / "r.json"),
    ):
        assert "error[bad-option]" in program("check", *arguments, code=2).said
    for arguments in (
        (odd, "--junit", odd),
        (source, "--profile", profile, "--sarif", profile),
        (source, "--profile", profile, "--sarif", link),
    ):
        assert "error[would-overwrite]" in program("check", *arguments, code=2).said
    assert source.read_text() == odd.read_text() == PLAIN.format("a")
    assert profile.read_text() == BOTTLE.read_text()
    assert len(list(tmp_path.iterdir())) == 4


def test_two_reports_are_two_files(program, tmp_path):
    source = written(tmp_path / "a.rasterc", PLAIN.format("a"))
    target = written(tmp_path / "r.json", "{}")
    link = tmp_path / "r.xml"
    link.symlink_to(target)
    said = program("check", source, "--sarif", target, "--junit", link, code=2).said
    assert "would be written twice" in said
    assert target.read_text() == "{}"


# -- what is broken hides nothing else ------------------------------------------------------------


def test_a_broken_file_of_a_folder_hides_no_other(program, tmp_path):
    many = tmp_path / "many"
    many.mkdir()
    written(many / "bad.rasterc", "message bad {\n  raster 99\n}\n")
    written(many / "good.rasterc", PLAIN.format("good"))
    (many / "gone.rasterc").symlink_to(many / "nowhere")
    sarif, junit = tmp_path / "r.sarif", tmp_path / "r.xml"
    given = ["check", many, "--all", "--years", 1, "--sarif", sarif, "--junit", junit]
    out, said = program(*given, code=2).both
    assert out.startswith("3 messages: 1 clean, 2 that cannot be checked\n")
    assert "bad.rasterc:2:" in said
    assert "gone.rasterc" in said

    [log] = json.loads(sarif.read_text())["runs"]
    assert log["invocations"] == [{"executionSuccessful": False}]  # SARIF 2.1.0, 3.20.14
    places = {
        (r["ruleId"], Path(r["locations"][0]["physicalLocation"]["artifactLocation"]["uri"]).name)
        for r in log["results"]
        if r["level"] == "error"
    }
    assert ("cannot-read", "gone.rasterc") in places
    assert any(name == "bad.rasterc" for _, name in places)

    root = Xml.fromstring(junit.read_bytes())
    suites = {Path(s.get("name")).name: s for s in root.findall("testsuite")}
    assert set(suites) == {"good", "bad.rasterc", "gone.rasterc"}
    assert suites["good"].get("errors") == "0"
    assert int(suites["good"].get("tests")) > 10
    [case] = suites["gone.rasterc"].findall("testcase")
    assert case.get("name") == "cannot-read"
    assert case.find("error") is not None
    assert int(root.get("errors")) == len(root.findall(".//error"))

    document = json.loads(program(*given[:5], "--json", code=2).out)
    assert [m["message"] for m in document["messages"]] == ["good"]
    assert {d["code"] for d in document["diagnostics"]} >= {"cannot-read"}


def test_a_message_that_lacks_an_input_hides_no_other(program, tmp_path):
    file = written(tmp_path / "two.rasterc", WANTS_LOT + PLAIN.format("other"))
    out, said = program("check", file, code=2).both
    assert out.startswith("other")
    assert "error[input-missing]" in said
    assert "lots" in program("check", file, "--set", "lot=A1").out


# -- the output -----------------------------------------------------------------------------------


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
@pytest.mark.parametrize("command", ["compile", "show", "check"])
def test_a_full_output_is_one_line_and_exit_2(command):
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [PROGRAM, command, BEST, *AT], stdout=full, stderr=subprocess.PIPE, text=True
        )
    assert done.returncode == 2
    [line] = done.stderr.splitlines()
    assert line.startswith("error[cannot-write]: cannot write to standard output")


def wait_until_it_reads(pid: int) -> None:
    """Until a process has slept without using the processor for half a second."""
    state = Path(f"/proc/{pid}/stat")
    if not state.exists():
        return time.sleep(5)  # a system without /proc
    before, since = "", time.monotonic()
    while time.monotonic() - since < 0.5:
        fields = state.read_text().rpartition(")")[2].split()
        now = " ".join([fields[0], *fields[11:13]])  # state, time in user and in system mode
        if now != before or fields[0] != "S":
            before, since = now, time.monotonic()
        time.sleep(0.02)
    return None


def test_ctrl_c_ends_quietly():
    # an import hook stops inside start-up, as a slow disk would
    script = (
        "import sys, signal, os\n"
        "class Stop:\n"
        "    def find_spec(self, name, path=None, target=None):\n"
        "        if name == 'rasterc.cli.app': os.kill(os.getpid(), signal.SIGINT)\n"
        "sys.meta_path.insert(0, Stop())\n"
        "from rasterc.cli import main; main()"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True)
    assert (done.returncode, done.stdout, done.stderr) == (130, "", "")
    going = subprocess.Popen(
        [PROGRAM, "fmt", "-"], stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    wait_until_it_reads(going.pid)
    going.send_signal(signal.SIGINT)
    out, said = going.communicate(timeout=600)
    assert (going.returncode, out, said) == (130, b"", b"")


@pytest.mark.parametrize(
    ("style", "encoding"), [("block", "ascii"), ("braille", "ascii"), ("dots", "latin-1")]
)
def test_an_output_without_blocks_gets_plain_drops(program, style, encoding):
    plain = program("show", BEST, *AT, "--style", "plain").out
    done = subprocess.run(
        [PROGRAM, "show", BEST, *AT, "--style", style], capture_output=True, encoding="ascii",
        env={**os.environ, "PYTHONIOENCODING": encoding, "PYTHONUTF8": "0", "COLUMNS": "80"},
    )  # fmt: skip
    assert (done.returncode, done.stdout) == (0, plain)
    assert f"no characters for style {style}" in done.stderr


def test_every_summary_is_whole_at_80_columns(program):
    for arguments in ([], ["font"]):
        text = program(*arguments, "--help").out
        assert "..." not in text.replace("[ARGS]...", "")
        assert max(map(len, text.splitlines())) <= 80


def test_explain_keeps_patterns_whole_and_its_index_narrow(program):
    index = program("explain").out
    assert max(map(len, index.splitlines())) <= 80
    assert "yyyy-MM-dd" in program("explain", "month-before-day").out


# -- what was taken for granted is said -----------------------------------------------------------


def test_show_and_compile_say_when_the_line_cannot_print_it(program, tmp_path):
    slow = [BEST, *AT, "--profile", BOTTLE]
    assert program("show", *slow).said == program("compile", *slow).said == ""
    for command in ("show", "compile"):
        out, said = program(command, *slow, "--speed", 2.5, "--json").both
        assert said == ""
        [noted] = json.loads(out)["diagnostics"]
        assert noted["severity"] == "warning"
        assert "the head cannot follow 2.5 m/s" in noted["message"]
        assert "rasterc check" in noted["message"]
        warned = program(command, *slow, "--speed", 2.5).said
        assert warned.startswith("warning[line-cannot-print]: ")
        assert json.loads(out)["messages"][0]["raster"] == 16
    text = BOTTLE.read_text()
    other = written(tmp_path / "other.toml", text.replace("drops = 16", "drops = 15"))
    given = [BEST, *AT, "--profile", other, "--out", tmp_path / "x.png"]
    [line] = program("compile", *given).said.split("\n")[:-1]
    assert "throws no raster of 16 drops" in line
    assert "--profile" in program("compile", BEST, "--speed", 1, code=2).said


def test_json_gives_the_values_that_were_used(program, tmp_path):
    [document] = json.loads(program("compile", BEST, *AT[:2]).out)["messages"]
    assert document["texts"][1].endswith(" 0001")
    assert document["instant"]["counters"] == {"case": 1}
    lots = WANTS_LOT.replace("length 1 to 4", 'length 1 to 4, default "A7"')
    file = written(tmp_path / "lots.rasterc", lots)
    [document] = json.loads(program("compile", file).out)["messages"]
    assert document["instant"]["inputs"] == {"lot": "A7"}


def test_a_moment_is_shown_in_the_zone_of_the_message(program, tmp_path):
    tokyo = written(tmp_path / "tokyo.rasterc", CLOCK.replace("Europe/Dublin", "Asia/Tokyo"))
    before = datetime.now(UTC).replace(microsecond=0)
    [document] = json.loads(program("compile", tokyo).out)["messages"]
    shown = datetime.fromisoformat(document["instant"]["at"])
    assert shown.utcoffset().total_seconds() == 9 * 3600
    assert before <= shown <= datetime.now(UTC)
    assert "+09:00" in program("show", tokyo).out.splitlines()[0]
    head = program("show", tokyo, "--at", "2027-11-25 05:05Z").out.splitlines()[0]
    assert head == "timed at 2027-11-25 14:05:00+09:00"
    assert program("check", tokyo, "--at", "2027-11-25 05:05Z").out.startswith(f"{head},")


def test_of_an_hour_that_comes_twice_the_one_taken_is_said(program, tmp_path):
    # summer time ends in Dublin on 31 October 2027 at 02:00 (Directive 2000/84/EC, from memory)
    file = written(tmp_path / "t.rasterc", CLOCK)
    for command in ("show", "compile", "check"):
        said = program(command, file, "--at", "2027-10-31 01:30").said
        [line] = said.splitlines()
        assert "the first one was taken" in line
        other = line.split('--at "')[1].split('"')[0]
        assert other == "2027-10-31 01:30+00:00"
        assert program(command, file, "--at", other).said == ""
        assert program(command, file, "--at", "2027-10-31 02:30").said == ""


def test_options_that_would_not_be_used_are_refused(program, tmp_path):
    given = ["fly", BEST, *AT, "--profile", HEAD]
    kept = ["--results", tmp_path / "r.sqlite"]
    said = program(*given, "--compare", "rasters", *kept, code=2).said
    assert "--compare rasters makes no use of --results" in said
    said = program(*given, "--workers", 2, *kept, code=2).said
    for option in ("--workers", "--results"):
        assert f"a single flight makes no use of {option}" in said
    assert list(tmp_path.iterdir()) == []


def test_font_export_names_all_it_can_write(program, tmp_path):
    given = ["font", "export", "upright-7", "--out"]
    assert "known: .bdf .txt .png" in program(*given, tmp_path / "u.html", code=2).said
    program(*given, tmp_path / "u.png")
