"""No pattern, table or chain makes a command take more than ten seconds of the processor, or more
than 500 MiB: each in a process of its own that is ended when it takes more."""

import resource
import subprocess
import sys

import pytest

SECONDS = 10
MEMORY = 500 << 20

WORDS = "|".join(f"{chr(65 + a)}{chr(65 + b)}X" for a in range(14) for b in range(14))
PATTERNS = {
    "a character so many from the end": "[A-Z0-9]*X[A-Z0-9]{8}",
    "far from the end": "[A-Z0-9]*X[A-Z0-9]*Y[A-Z0-9]{0,25}Z[A-Z0-9]{0,20}",
    "a loop before what it holds": "(a|b)*a",
    "sixty forks": "(a|b)" * 60,
    "all may be left out": "(a?){64}a{64}",
    "repeats in repeats": "(([A-Z]?[0-9]?){8}-?){3}",
    "many words": f"({WORDS})*",
    "dead ends": "[0-9]{40}|[A-Z]{39}",
    "a wide class": r"[\u{4e00}-\u{9fff}A-Z]*",
}
CLASHING = "line: lot line bold 2: lot(upper) line font upright-5 wide 2: lot(first 5)"
FORKS = 'input lot matching "(a|b)*a[A-Z]{0,9}"'
MANY = "\n".join(f'input i{n} matching "[A-Z]*[0-9]{{0,8}}"' for n in range(6))
ALL = " ".join(f"i{n}" for n in range(6))
TIMES = "}} block {{ line: {} ".format(" ".join(["p(HHmmss)"] * 60)) * 8
CLOCK = 'clock p in "Europe/Dublin"'
LETTERS = f'counter c from 0 to 29999 table t from 0, letters "{"ABCDEFGHJK" * 1000}"'
COMMANDS = {
    "lines that compete": (FORKS, CLASHING, ["extremes"], (0, 1)),
    "many inputs": (MANY, f"line: {ALL} line font upright-5: {ALL}", ["extremes"], (0, 1)),
    "all rules": (FORKS, CLASHING, ["check", "--all", "--set", "lot=a"], (0, 1)),
    "reading": (FORKS, CLASHING, ["reading", "--set", "lot=abba"], (0,)),
    "compile": (FORKS, "line: lot", ["compile", "--set", "lot=abba", "--out", "m.json"], (0,)),
    "trace": (FORKS, "line: lot lot", ["trace", "--line", "a?" * 20], (0, 1)),
    "trace a long table": (LETTERS, "line: c(table t)", ["trace", "--line", "?"], (0,)),
    "a long table": (LETTERS, "line: c(table t)", ["extremes"], (0, 1)),
    "a check over dates and hours": (
        f"{CLOCK} check k = gs1-mod10 of p(ddMMyyHH)", "line: p(ddMMyyHH) k",
        ["extremes", "--years", "100"], (0,),
    ),
    "many times": (CLOCK, f'line: "A" {TIMES}', ["extremes", "--years", "10"], (0, 1)),
    "many times, all rules": (
        CLOCK, f'line: "A" {TIMES}', ["check", "--all", "--years", "50"], (2,),
    ),
}  # fmt: skip


def source(declared: str, lines: str) -> str:
    return f"message m {{ raster 16 font upright-7\n {declared}\n block {{ {lines} }} }}"


def run(tmp_path, text: str, *command: str) -> subprocess.CompletedProcess[str]:
    """A command on a message, ended when it takes too much."""

    def limited() -> None:
        resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
        resource.setrlimit(resource.RLIMIT_DATA, (MEMORY, MEMORY))

    (tmp_path / "m.rasterc").write_text(text)
    name, *rest = command
    return subprocess.run(
        [sys.executable, "-m", "rasterc", name, "m.rasterc", *rest],
        cwd=tmp_path, preexec_fn=limited, capture_output=True, text=True,
    )  # fmt: skip


@pytest.mark.parametrize("name", PATTERNS)
def test_patterns(tmp_path, name):
    text = source(f'input lot matching "{PATTERNS[name]}"', "line: lot")
    done = run(tmp_path, text, "extremes")
    assert done.returncode in (0, 1), done.stderr
    assert "characters" in done.stdout


@pytest.mark.parametrize("name", COMMANDS)
def test_commands(tmp_path, name):
    declared, lines, command, codes = COMMANDS[name]
    done = run(tmp_path, source(declared, lines), *command)
    assert done.returncode in codes, (done.returncode, done.stderr[-2000:])


TOO_LARGE = {
    "bad-input-pattern": ('input lot matching "((a?){15}){64}b"', "line: lot"),
    "too-many-rows": (LETTERS.replace("JK", "JKLM"), "line: c(table t)"),
    "too-many-choices": (
        "input lot one of " + " ".join(f'"{n}"' for n in range(2001)), "line: lot",
    ),
}  # fmt: skip


@pytest.mark.parametrize("code", TOO_LARGE)
def test_what_is_beyond_any_use_is_refused(tmp_path, code):
    done = run(tmp_path, source(*TOO_LARGE[code]), "show")
    assert done.returncode == 2
    assert f"error[{code}]" in done.stderr
