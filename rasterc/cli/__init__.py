"""The command line: one small file per command."""

from __future__ import annotations

import signal
import sys


def main() -> None:
    """Entry point of the `rasterc` program; exits with a code of `rasterc.cli.exits`.

    Ctrl-C and SIGTERM end it quietly, also while it starts: both unwind it, so that files and
    worker processes are cleared away.
    """
    before = signal.getsignal(signal.SIGTERM)
    try:
        if before is not signal.SIG_IGN:
            signal.signal(signal.SIGTERM, signal.default_int_handler)
        from rasterc.cli.edge import run

        code = run(sys.argv[1:])
    except KeyboardInterrupt:
        code = 130  # EXIT_STOPPED; importing it could be what was stopped
    finally:
        signal.signal(signal.SIGTERM, before)
    sys.exit(code)
