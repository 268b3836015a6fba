"""Reports that are longer than the screen, page by page."""

from __future__ import annotations

import os
import shlex
import shutil
import signal
import subprocess
import sys
from collections.abc import Sequence
from contextvars import ContextVar

from rasterc.cli.colour import is_terminal
from rasterc.cli.say import on_standard_output, say

wanted: ContextVar[bool] = ContextVar("whether long reports are paged", default=True)


def say_long(*parts: Sequence[str]) -> None:
    """Reports on standard output, an empty line between two.

    With a pager when they are more lines than the terminal shows at once.
    """
    lines = [line for index, part in enumerate(parts) for line in (*[""] * bool(index), *part)]
    command = _pager(len(lines))
    if not command or not _paged(command, lines):
        say(*lines)


def _pager(lines: int) -> list[str]:
    """The pager to use, nothing for none: $PAGER, or less where there is one."""
    both = is_terminal(sys.stdout) and is_terminal(sys.stdin)
    if not wanted.get() or not both or lines < shutil.get_terminal_size((80, 24)).lines:
        return []
    try:
        command = shlex.split(os.environ.get("PAGER", "less"))
    except ValueError:  # a quote that is not closed
        return []
    return command if command and shutil.which(command[0]) else []


def _paged(command: Sequence[str], lines: Sequence[str]) -> bool:
    """Show lines in a pager; False when it cannot be started."""
    # less: leave when all fits, let colours through, leave the text on the screen
    environment = {"LESS": "FRX", **os.environ}
    sys.stdout.flush()
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the pager
    try:
        with subprocess.Popen(command, stdin=subprocess.PIPE, env=environment) as pager:
            try:
                pager.communicate(on_standard_output(lines).encode(errors="replace"))
            except BaseException:
                pager.terminate()
                raise
    except OSError:
        return False
    finally:
        signal.signal(signal.SIGINT, before)
    return True
