"""What a command says, kept on one screen."""

from __future__ import annotations

import io
import re
import shutil
import sys
from collections.abc import Callable, Sequence
from contextlib import redirect_stderr, redirect_stdout

from msgspec import Struct

from rasterc.cli.colour import When, has_colour, is_terminal, wanted
from rasterc.cli.say import say_now, say_text

_CLEAR = "\x1b[2J\x1b[3J\x1b[H"
_SGR = re.compile(r"\x1b\[[0-9;]*m")


class _Captured(io.StringIO):
    """What is written, in order; it can carry the characters that standard output can."""

    encoding = "utf-8"


def said_by(work: Callable[[], int], notes: bool = True) -> tuple[int, tuple[str, ...]]:
    """Do some work that says something: its exit code, and the lines it says.

    Args:
        work: what is done.
        notes: also what it says on standard error.
    """
    captured = _Captured()
    captured.encoding = getattr(sys.stdout, "encoding", None) or "ascii"
    token = wanted.set(When.ALWAYS if has_colour(sys.stdout) else When.NEVER)
    try:
        with redirect_stdout(captured), redirect_stderr(captured if notes else _Captured()):
            code = work()
    finally:
        wanted.reset(token)
    return code, tuple(captured.getvalue().splitlines())


def run_command(words: Sequence[str]) -> int:
    """Run a command of the program in this process; its exit code.

    Raises:
        KeyboardInterrupt: it was stopped.
    """
    from rasterc.cli.edge import run
    from rasterc.cli.exits import EXIT_STOPPED

    code = run([f"--color={wanted.get()}", "--no-pager", *words])
    if code == EXIT_STOPPED:
        raise KeyboardInterrupt
    return code


class Part(Struct, frozen=True):
    """What one command said.

    Attributes:
        lines: as it said them; they may hold colours.
        command: as it is typed.
        place: parts are shown in this order where all of them fit.
    """

    lines: tuple[str, ...]
    command: str
    place: int = 0


def begin(changed: Sequence[str]) -> None:
    """Say on a terminal that it is being looked; what is seen then takes the place of it."""
    if is_terminal(sys.stdout):
        say_now(f"{', '.join(changed)} changed, looking ..." if changed else "looking ...")


def fill(heading: str, parts: Sequence[Part]) -> None:
    """Show parts below a heading: on a terminal all that fits on the screen, and nothing else.

    Where not all of them fit, the first are shown.
    """
    in_place = _joined(sorted(parts, key=lambda part: part.place))
    if not is_terminal(sys.stdout):
        say_now(heading)
        say_text("".join(f"{line}\n" for line in (*in_place, "")))
        sys.stdout.flush()
        return
    columns, rows = shutil.get_terminal_size((80, 24))
    shown, left = fitting(in_place, columns, rows - 3)
    if left:
        shown, left = fitting(_joined(parts), columns, rows - 3)
    say_text(_CLEAR)
    say_now(heading)
    say_text("".join(f"{line}\n" for line in shown))
    say_now(*[f"... {left} lines more: {parts[-1].command}"] * bool(left))


def _joined(parts: Sequence[Part]) -> list[str]:
    """Parts under each other, an empty line between two."""
    return [
        line for number, part in enumerate(parts) for line in (*[""] * bool(number), *part.lines)
    ]


def fitting(lines: Sequence[str], columns: int, rows: int) -> tuple[list[str], int]:
    """The first lines that fit in so many rows, and how many are left out.

    >>> fitting(["a" * 25, "b", "c"], 10, 4)
    (['aaaaaaaaaaaaaaaaaaaaaaaaa', 'b'], 1)
    """
    used = 0
    for number, line in enumerate(lines):
        used += max(1, -(-len(_SGR.sub("", line)) // columns))
        if used > rows:
            return list(lines[:number]), len(lines) - number
    return list(lines), 0
