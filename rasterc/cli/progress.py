"""How far long work has come: one line on a terminal's standard error, nothing elsewhere."""

from __future__ import annotations

import shutil
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from rasterc.cli.colour import is_terminal
from rasterc.cli.say import tell_text
from rasterc.diagnostics import visible

_EVERY_S = 0.1
_SHORT_S = 0.5  # what takes less is not told of
_CLEAR = "\r\x1b[K"


@dataclass(slots=True)
class Progress:
    """A line that says how much is done, how fast, how long it takes yet, and what is done now.

    Attributes:
        what: what is counted, in the plural.
        total: how many there are.
        clock: seconds that only go forward.
    """

    what: str
    total: int
    clock: Callable[[], float] = time.monotonic
    done: int = 0
    _doing: str = ""
    _start: float = field(default=0.0)
    _shown: float = field(default=float("-inf"))

    def __post_init__(self) -> None:
        self._start = self.clock()

    def step(self, done: int = 1) -> None:
        """So many more are done."""
        self.done += done
        self._doing = ""
        self._show()

    def doing(self, what: str) -> None:
        """This is done now."""
        self._doing = what
        self._show()

    def line(self) -> str:
        """The line as it would be shown now."""
        parts = [f"{self.done} of {self.total} {self.what}"]
        took = self.clock() - self._start
        if 0 < self.done < self.total and took > 0:
            rate = self.done / took
            parts += [f"{rate:.3g} a second", f"{_time((self.total - self.done) / rate)} left"]
        elif took >= 1:
            parts.append(_time(took))
        return ", ".join(parts) + (f": {self._doing}" if self._doing else "")

    def _show(self) -> None:
        now = self.clock()
        if now - self._shown < _EVERY_S:
            return
        self._shown = now
        _tell_line(self.line())


@contextmanager
def progress(what: str, total: int) -> Iterator[Progress | None]:
    """A progress line for as long as the block lasts; None when nobody looks."""
    if not is_terminal(sys.stderr):
        yield None
        return
    try:
        yield Progress(what, total)
    finally:
        tell_text(_CLEAR)


@contextmanager
def working() -> Iterator[Callable[[str], None]]:
    """A line of what is being done now, for as long as the block lasts; nothing as long as that is
    short, or when nobody looks."""
    if not is_terminal(sys.stderr):
        yield lambda _: None
        return
    shown = time.monotonic() + _SHORT_S

    def tell(doing: str) -> None:
        nonlocal shown
        if (now := time.monotonic()) >= shown:
            shown = now + _EVERY_S
            _tell_line(f"{doing} ...")

    try:
        yield tell
    finally:
        tell_text(_CLEAR)


def _tell_line(line: str) -> None:
    columns = shutil.get_terminal_size((80, 24)).columns
    tell_text(f"{_CLEAR}  {visible(line)[: columns - 3]}")


def _time(seconds: float) -> str:
    """``75`` as ``1 min 15 s``."""
    minutes, rest = divmod(round(seconds), 60)
    return f"{minutes} min {rest} s" if minutes else f"{rest} s"
