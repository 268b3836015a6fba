"""Every way in which a run can end: exit codes, one line, no traceback."""

import json
import os
import signal
import socket
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from rasterc.cli import exits
from rasterc.diagnostics import InputError

SHARED = Path(__file__).parents[2] / "shared"
BEST = SHARED / "messages" / "best-before.rasterc"
HEAD = SHARED / "heads" / "head-middle.toml"
PROGRAM = Path(sys.executable).with_name("rasterc")
FONT = ["font", "show", "upright-7", "--chars", "A"]

# A command, and a function at its heart in which a fault is planted.
HEARTS = [
    (["show", BEST], "rasterc.api.load_all"),
    (["compile", BEST], "rasterc.output.code.kinds.json.strokes_as_dict"),
    (["check", BEST], "rasterc.inspection.looking.report"),
    (["extremes", BEST], "rasterc.extremes.report.extremes"),
    (["repeats", BEST], "rasterc.extremes.repeats.repeats"),
    (["trace", BEST, "--line", "*"], "rasterc.tracing.trace.trace"),
    (["diff", BEST, BEST], "rasterc.cli.diff.compared.compare"),
    (["reading", BEST], "rasterc.reading.report.risk_report"),
    (["fly", BEST, "--profile", HEAD], "rasterc.cli.fly.flights.subject_of"),
    (["jet", HEAD], "rasterc.profile.load.load_profile"),
    (["fmt", BEST, "--check"], "rasterc.source.formatting.format.format_text"),
    (["cache"], "rasterc.files.cache.user_cache"),
    (["explain"], "rasterc.checks.registry.all_rules"),
    (["explain", "json", "check"], "rasterc.cli.documents.schemas.schema_of"),
    (FONT, "rasterc.cli.font.command._find"),
    (["font", "audit", "upright-7"], "rasterc.fonts.audit.look_alikes"),
    (["font", "export", "upright-7", "--out", "a.bdf"], "rasterc.cli.font.command._write_font"),
]


def plant(monkeypatch, where: str, fault: BaseException) -> None:
    def broken(*arguments, **options):
        raise fault

    monkeypatch.setattr(where, broken)


@pytest.mark.parametrize(("arguments", "where"), HEARTS, ids=[where for _, where in HEARTS])
def test_a_fault_of_ours_is_exit_70_and_says_how_to_report_it(
    program, monkeypatch, tmp_path, arguments, where
):
    monkeypatch.chdir(tmp_path)
    plant(monkeypatch, where, ZeroDivisionError("a \x1b[31mplanted\nfault"))
    said = program(*arguments, code=70).said
    [fault, help] = said.splitlines()
    assert fault == "rasterc: a fault of ours: ZeroDivisionError: a \\x1b[31mplanted\\nfault"
    assert "please report it" in help
    assert "--debug" in help
    assert list(tmp_path.iterdir()) == []


def test_bad_input_is_no_fault_of_ours_wherever_it_is_found(program, monkeypatch):
    plant(monkeypatch, "typer.main.get_command", InputError.one("planted", "it is bad"))
    assert program(*FONT, code=2).said == "error[planted]: it is bad\n"
    document = json.loads(program(*FONT, "--json", code=2).out)
    assert document["diagnostics"][0]["code"] == "planted"


def test_debug_shows_where_before_or_behind_the_command(program, monkeypatch):
    plant(monkeypatch, "rasterc.cli.font.command._find", ValueError("planted"))
    for arguments in (["--debug", *FONT], [*FONT, "--debug"]):
        lines = program(*arguments, code=70).said.splitlines()
        assert lines[0].startswith("Traceback")
        assert any("command.py" in line for line in lines)
        assert lines[-2] == "rasterc: a fault of ours: ValueError: planted"
    assert "--debug" in program("--help", code=0).out


def test_a_fault_of_ours_in_json(program, monkeypatch):
    plant(monkeypatch, "rasterc.cli.font.command._find", KeyError("planted"))
    ended = program(*FONT, "--json", code=70)
    document = json.loads(ended.out)
    assert document["schema"] == "rasterc/diagnostics/1"
    assert document["diagnostics"][0]["code"] == "fault-of-ours"
    assert ended.said.startswith("rasterc: a fault of ours: KeyError")


@pytest.mark.parametrize(
    ("fault", "words"),
    [
        (MemoryError(), "more memory than there is"),
        (RecursionError("maximum recursion depth exceeded"), "nested more deeply"),
        (AssertionError(), "AssertionError"),
        (OSError(5, "Input/output error", "a file"), "Input/output error"),
        (UnicodeEncodeError("utf-8", "\ud800", 0, 1, "surrogates not allowed"), "surrogates"),
    ],
)
def test_faults_have_sensible_words(program, monkeypatch, fault, words):
    plant(monkeypatch, "rasterc.cli.font.command._find", fault)
    assert words in program(*FONT, code=70).said


@pytest.mark.parametrize("arguments", [["show"], ["--frm"], ["font"], ["font", "look"], []])
def test_a_wrong_command_line_is_exit_2(program, arguments):
    ended = program(*arguments, code=2)
    assert ended.out == ""
    assert ended.said.startswith(("error[bad-usage]: ", "Usage: "))


def test_ctrl_c_is_exit_130(program, monkeypatch):
    plant(monkeypatch, "rasterc.cli.font.command._find", KeyboardInterrupt())
    ended = program(*FONT, code=exits.EXIT_STOPPED)
    assert (ended.out, ended.said) == ("", "")
    assert signal.getsignal(signal.SIGTERM) == signal.SIG_DFL  # as it was before


def test_the_codes_are_the_ones_that_help_and_readme_tell(program):
    codes = (exits.EXIT_FINE, exits.EXIT_FINDINGS, exits.EXIT_BAD_INPUT, exits.EXIT_OURS)
    assert (*codes, exits.EXIT_STOPPED) == (0, 1, 2, 70, 130)
    assert exits.IN_WORDS in " ".join(program("--help").out.split())
    readme = (SHARED.parent / "README.md").read_text(encoding="utf-8")
    assert exits.IN_WORDS in " ".join(readme.split())


def test_text_that_is_no_text_reaches_reports_and_terminal(program, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    lots = 'message lots { raster 7 font upright-7 input lot block { line: "L" lot } }'
    Path("lots.rasterc").write_text(lots)
    odd = "\udcff\ud800"  # bytes of an argument that are not UTF-8 come so
    for arguments in (
        ["show", "lots.rasterc", "--set", f"lot={odd}"],
        ["check", "lots.rasterc", "--set", f"lot={odd}", "--sarif", "a.sarif", "--junit", "a.xml"],
        ["check", "lots.rasterc", "--set", f"lot={odd}", "--json"],
        ["compile", "lots.rasterc", "--set", f"{odd}=1"],
        ["trace", "lots.rasterc", "--line", odd],
        ["show", "\udcff.rasterc"],
        ["font", "export", "upright-7", "--out", "\udcff.bdf"],
        ["check", "\udcff.rasterc", "--sarif", "b.sarif", "--junit", "b.xml"],
        ["show", "lots.rasterc", "--at", odd],
        ["explain", odd],
        ["font", "show", "upright-7", "--text", odd],
    ):
        ended = program(*arguments, code=None)
        assert ended.code in (0, 1, 2), ended
        assert "\ud800" not in ended.out + ended.said
    for report in ("a.sarif", "b.sarif"):
        json.loads(Path(report).read_text(encoding="utf-8"))


# -- streams, in a process of their own -----------------------------------------------------------

CLOSED = [
    (FONT, ">&-", 2, "error[cannot-write]: cannot write to standard output: it is closed"),
    ([*FONT, "--json"], ">&-", 2, "error[cannot-write]"),
    (["explain"], ">&-", 2, "error[cannot-write]"),
    (["--help"], ">/dev/full", 2, "error[cannot-write]"),
    (FONT, ">/dev/full", 2, "error[cannot-write]"),
    (["fmt", "-"], "<&-", 2, "cannot read <stdin>: it is closed"),
    (["show", "nowhere.rasterc"], "2>&-", 2, ""),
    (["show", "nowhere.rasterc"], ">&- 2>&-", 2, ""),
    (["explain"], "| head -n 1 >/dev/null", 0, ""),
    (["show", "nowhere.rasterc"], "2>/dev/full", 2, ""),
]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a POSIX shell and /dev/full")
@pytest.mark.parametrize(("arguments", "how", "code", "said"), CLOSED)
def test_streams_that_are_closed_or_full(tmp_path, arguments, how, code, said):
    command = " ".join(map(str, [PROGRAM, *arguments])) + f" {how}"
    done = subprocess.run(
        ["sh", "-c", command], cwd=tmp_path, capture_output=True, text=True, timeout=240
    )
    assert done.returncode == code, done
    assert "Traceback" not in done.stderr
    assert "Exception ignored" not in done.stderr
    assert said in done.stderr
    assert len(done.stderr.splitlines()) <= 2


@pytest.mark.skipif(os.name == "nt", reason="closes streams with a POSIX shell")
def test_no_file_takes_the_place_of_a_closed_stream(tmp_path):
    """With 1 and 2 closed the next file opened would be standard output to everything below."""
    out = tmp_path / "a.bdf"
    command = f"{PROGRAM} font export upright-7 --out {out} >&- 2>&-"
    done = subprocess.run(["sh", "-c", command], timeout=240)
    assert done.returncode == 2  # it could not say that it wrote
    assert out.read_text().startswith("STARTFONT")


def test_a_scheduler_that_says_nothing_is_given_up(program, tmp_path, monkeypatch):
    pytest.importorskip("distributed")
    from rasterc.sweep import cluster

    monkeypatch.setattr(cluster, "CONNECT_S", 0.5)
    mark = tmp_path / "mark.rasterc"
    mark.write_text('message mark { raster 7 font upright-7 block { line: "1" } }')
    with socket.create_server(("127.0.0.1", 0)) as server:
        taken = []
        threading.Thread(target=lambda: taken.append(server.accept()), daemon=True).start()
        address = f"tcp://127.0.0.1:{server.getsockname()[1]}"
        given = ["fly", mark, "--profile", HEAD, "--drift", 2, "--cluster", address]
        assert f"no scheduler answers at {address}" in program(*given, code=2).said
        for connection, _ in taken:
            connection.close()
