"""What the program's exit codes mean: the same for every command."""

from __future__ import annotations

EXIT_FINE = 0
EXIT_FINDINGS = 1
EXIT_BAD_INPUT = 2
EXIT_OURS = 70
"""A fault of ours; EX_SOFTWARE of sysexits.h (4.3BSD)."""
EXIT_STOPPED = 130
"""Stopped by SIGINT or SIGTERM: 128 + 2, as shells say it of Ctrl-C, for both."""

IN_WORDS = "0 fine, 1 findings, 2 bad input, 70 a fault of ours, 130 stopped"
