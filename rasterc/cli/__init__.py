"""The command line: one small file per command."""

from __future__ import annotations

import sys


def main() -> None:
    """Entry point of the `rasterc` program; Ctrl-C ends it quietly, also while it starts."""
    try:
        from rasterc.cli.app import run

        run()
    except KeyboardInterrupt:
        sys.exit(130)
