"""The command line: a file or a folder for each command.

Words come in, lines, files and exit codes go out. Read `edge` first, where every run begins and
ends, then `app`, which finds the command, then the command: `show` is a short one. `common` holds
what they share: options, what was asked for, how mistakes are told. `say` prints, `pager`,
`colour` and `progress` decide how; `notes`, `times` and `stretch` put into words what several
commands say; `documents` are the types of every command's JSON.
"""

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
