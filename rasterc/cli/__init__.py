"""The command line: one small file per command."""

from __future__ import annotations


def main() -> None:
    """Entry point of the `rasterc` program."""
    from rasterc.cli.app import run

    run()
