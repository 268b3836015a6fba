"""Colours, pages, progress and completion: what only a person at a terminal meets."""

import os
import re
import select
import sys
from pathlib import Path

import pytest

from rasterc.cli import colour, stretch
from rasterc.cli.complete import _beginning
from rasterc.cli.progress import Progress
from rasterc.diagnostics import InputError

pytestmark = pytest.mark.skipif(os.name != "posix", reason="a terminal is made with pty")
SHARED = Path(__file__).parents[2] / "shared"
BEST = SHARED / "messages" / "best-before.rasterc"
BOTTLE = SHARED / "profiles" / "bottle-16.toml"
PROGRAM = str(Path(sys.executable).with_name("rasterc"))
RED = "\x1b[31;1m"
_LOUD = ("NO_COLOR", "FORCE_COLOR", "PAGER", "LESS", "COLUMNS", "LINES")
CALM = {**{k: v for k, v in os.environ.items() if k not in _LOUD}, "PYTHONUTF8": "1"}


def on_terminal(*arguments, rows=24, columns=80, typed=b"", **env):
    """What the program writes to a terminal of that size, and its exit code.

    Standard input, output and error are the terminal; ``typed`` waits in it.
    """
    import fcntl
    import pty
    import struct
    import termios

    child, terminal = pty.fork()
    if child == 0:
        size = struct.pack("HHHH", rows, columns, 0, 0)
        fcntl.ioctl(0, termios.TIOCSWINSZ, size)
        os.execve(PROGRAM, [PROGRAM, *map(str, arguments)], {**CALM, "TERM": "xterm", **env})
    os.write(terminal, typed)
    written = bytearray()
    while select.select([terminal], [], [], 300)[0]:
        try:
            read = os.read(terminal, 4096)
        except OSError:  # Linux: the other side is closed
            break
        if not read:
            break
        written += read
    code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    os.close(terminal)
    return written.decode().replace("\r\n", "\n"), code


@pytest.fixture
def piped(program, monkeypatch):
    """What the program writes where no terminal is."""
    for name in set(_LOUD) - {"COLUMNS"}:
        monkeypatch.delenv(name, raising=False)

    def run(*arguments, **env):
        ended = program(*arguments, code=None, **env)
        return ended.out + ended.said

    return run


def test_severities_are_coloured_on_a_terminal_and_nowhere_else(piped):
    shown, code = on_terminal("explain", "nonsense")
    assert code == 2
    assert shown.startswith(f"{RED}error[unknown-rule]:\x1b[0m")
    assert "\x1b" not in piped("explain", "nonsense")


@pytest.mark.parametrize(
    ("arguments", "env", "coloured"),
    [
        ((), {}, True),
        ((), {"NO_COLOR": "1"}, False),
        ((), {"NO_COLOR": ""}, True),  # no-color.org: not when it is empty
        ((), {"TERM": "dumb"}, False),
        ((), {"NO_COLOR": "1", "FORCE_COLOR": "1"}, False),
        (("--color", "never"), {"FORCE_COLOR": "1"}, False),
        (("--color=always",), {"NO_COLOR": "1"}, True),
    ],
)
def test_who_decides_about_colours(arguments, env, coloured):
    shown, _ = on_terminal("explain", "nonsense", *arguments, **env)
    assert (RED in shown) is coloured


def test_colours_in_a_pipe_are_asked_for(piped):
    assert RED in piped("explain", "nonsense", FORCE_COLOR="1")
    assert RED in piped("--color", "always", "explain", "nonsense")
    assert RED in piped("explain", "--color", "always", "nonsense")
    assert RED not in piped("explain", "nonsense", FORCE_COLOR="")
    assert "known" not in piped("explain", "nonsense", "--color", "sometimes")


def test_json_has_no_colours(piped):
    assert "\x1b" not in piped("explain", "nonsense", "--json", "--color", "always")


def test_what_only_looks_like_a_finding_stays_as_it_is():
    assert colour.painted("my error: no") == "my error: no"
    assert colour.painted("  BEST BEFORE | ^") == "  BEST BEFORE | ^"


def test_a_pager_shows_what_is_longer_than_the_screen(piped, tmp_path):
    seen = tmp_path / "seen"
    pager = f"{sys.executable} -c \"import sys; open('{seen}','w').write(sys.stdin.read())\""
    shown, code = on_terminal("explain", PAGER=pager, NO_COLOR="1")
    assert code == 0
    assert shown == ""
    assert seen.read_text("utf-8") == piped("explain")
    for fewer in (("--no-pager",), ()):
        seen.unlink(missing_ok=True)
        rows = 24 if fewer else 1000
        shown, code = on_terminal("explain", *fewer, rows=rows, PAGER=pager, NO_COLOR="1")
        assert shown == piped("explain")
        assert not seen.exists()


@pytest.mark.parametrize("pager", ["", "no-such-program-at-all", "'"])
def test_without_a_pager_it_is_printed(piped, pager):
    shown, _ = on_terminal("explain", PAGER=pager, NO_COLOR="1")
    assert shown == piped("explain")


def test_who_leaves_the_pager_early_gets_no_complaint():
    shown, code = on_terminal("explain", PAGER="true", NO_COLOR="1")
    assert (shown, code) == ("", 0)


def test_progress_tells_the_rate_and_the_time_left():
    now = iter([0.0, 10.0, 10.0, 20.0, 20.0, 80.0])
    progress = Progress("messages", 4, clock=lambda: next(now))
    progress._shown = float("inf")  # nothing is written
    progress.done = 1
    assert progress.line() == "1 of 4 messages, 0.1 a second, 30 s left"
    progress._doing = "best-before"
    assert progress.line() == "1 of 4 messages, 0.1 a second, 30 s left: best-before"
    progress.done, progress._doing = 4, ""
    assert progress.line() == "4 of 4 messages, 20 s"
    progress.done = 1
    assert progress.line() == "1 of 4 messages, 0.05 a second, 1 min 0 s left"
    progress.done = 2
    assert progress.line() == "2 of 4 messages, 0.025 a second, 1 min 20 s left"


def test_names_are_completed(piped):
    def completed(line):  # what a bash completes for a line
        at = str(line.count(" "))
        bash = {"_RASTERC_COMPLETE": "complete_bash", "COMP_WORDS": line, "COMP_CWORD": at}
        return piped(**bash).split()

    assert "ambiguous-date" in completed("rasterc explain amb")
    assert completed("rasterc explain prof") == ["profile"]
    assert "upright-7" in completed("rasterc font show up")
    assert completed("rasterc extremes x.rasterc --measure longe") == ["longest"]
    assert completed(f"rasterc show {BEST} --message el") == ["elderflower"]
    assert completed(f"rasterc show {BEST} --set ca") == ["case="]
    assert completed("rasterc show no-such.rasterc --set ca") == []
    assert completed(f"rasterc list {BEST.parents[1]} --line bo") == ["bottles"]
    assert completed("rasterc list no-such --line bo") == []
    assert completed("rasterc list --state no") == ["notes", "not-looked-at"]


def test_completion_matches_beginnings():
    assert _beginning([("ab", "x"), ("b", "y")], "a") == [("ab", "x")]


def test_every_command_says_a_stretch_of_time_in_one_way(piped):
    for command, limits in stretch.STRETCHES.items():
        shown = piped(command, "--help")
        assert "--from DATE" in shown
        assert re.search(rf"--years N .*\b{limits.years}\b", shown, re.DOTALL)
        most = stretch.stretch(command, "2027-01-01", limits.most)
        assert most.years == limits.most
        for years in (0, -1, limits.most + 1):
            with pytest.raises(InputError, match="bad-horizon"):
                stretch.stretch(command, "2027-01-01", years)
        for since in ("1900-01-01", "9989-01-01"):
            with pytest.raises(InputError, match="bad-horizon"):
                stretch.stretch(command, since, limits.years)
        with pytest.raises(InputError, match="not-a-time"):
            stretch.stretch(command, "yesterday", 1)
