"""Colours of what is said: on terminals only, unless it is asked for.

The variables are those of https://no-color.org and https://force-color.org.
"""

from __future__ import annotations

import os
import re
from contextvars import ContextVar
from enum import StrEnum
from typing import TextIO


class When(StrEnum):
    """When colours are used."""

    AUTO = "auto"
    ALWAYS = "always"
    NEVER = "never"


wanted: ContextVar[When] = ContextVar("when colours are used", default=When.AUTO)

_SEVERITIES = {"error": "31;1", "warning": "33;1", "note": "36;1", "silenced": "2"}
_HEAD = re.compile(r"^(.*?: )?(error|warning|note|silenced)(\[[a-z0-9-]+\]:|:)")
_CARETS = re.compile(r"^( +\| *)(\^+)$")
_HELP = re.compile(r"^( +)(help:|because:)")


def has_colour(stream: TextIO | None) -> bool:
    """Whether what is written there is to be coloured.

    NO_COLOR wins over FORCE_COLOR, and ``--color`` over both. A terminal that calls itself dumb
    has none.
    """
    when = wanted.get()
    if when is not When.AUTO:
        return when is When.ALWAYS
    if os.environ.get("NO_COLOR"):
        return False
    if os.environ.get("FORCE_COLOR"):
        return True
    return is_terminal(stream) and os.environ.get("TERM") != "dumb" and os.name != "nt"


def is_terminal(stream: TextIO | None) -> bool:
    """Whether somebody looks at it."""
    try:
        return stream is not None and stream.isatty()
    except ValueError:  # it is closed
        return False


def painted(line: str) -> str:
    """A line of a report with its severity, its carets and its help set off.

    >>> painted("a.rasterc:1:2: error[no-such-key]: no")
    'a.rasterc:1:2: \\x1b[31;1merror[no-such-key]:\\x1b[0m no'
    >>> painted("      |   ^^"), painted("  help: do so")
    ('      |   \\x1b[32;1m^^\\x1b[0m', '  \\x1b[1mhelp:\\x1b[0m do so')
    """
    if found := _HEAD.match(line):
        place, severity, rest = found[1] or "", found[2], line[found.end() :]
        return f"{place}{_ink(severity + found[3], _SEVERITIES[severity])}{rest}"
    if found := _CARETS.match(line):
        return found[1] + _ink(found[2], "32;1")
    if found := _HELP.match(line):
        return found[1] + _ink(found[2], "1") + line[found.end() :]
    return line


def _ink(text: str, code: str) -> str:
    """Text between the escape sequences of ECMA-48, SGR."""
    return f"\x1b[{code}m{text}\x1b[0m"
