"""Running other programs to their end."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Mapping, Sequence

from msgspec import Struct


class Ended(Struct, frozen=True):
    """How a program ended: its exit code, what it printed, and what it said of errors."""

    code: int
    out: bytes
    said: bytes


def run_program(words: Sequence[str], environment: Mapping[str, str], most_s: float) -> Ended:
    """Run another program to its end. It is given no input, and no shell reads its words.

    Args:
        words: its name and arguments.
        environment: variables beside those of this process.
        most_s: it is ended after so many seconds.

    Raises:
        OSError: there is no such program, it may not be run, or a name cannot be passed on.
        TimeoutError: it took too long.
    """
    try:
        done = subprocess.run(
            list(words),
            stdin=subprocess.DEVNULL,
            capture_output=True,
            env={**os.environ, **environment},
            timeout=most_s,
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise TimeoutError(f"{words[0]} took more than {most_s:g} s") from None
    return Ended(done.returncode, done.stdout, done.stderr)
