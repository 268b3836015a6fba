"""The files `rasterc check` writes for other programs."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from rasterc.diagnostics import Diagnostic, fail_on_errors

if TYPE_CHECKING:
    from rasterc.output.results import MessageResults, RuleFacts

_SUFFIXES = {"--sarif": (".sarif", ".json"), "--junit": (".xml",)}


@dataclass(frozen=True, slots=True)
class ReportFiles:
    """Where reports are to be written; None for one that is not asked for."""

    sarif: Path | None = None
    junit: Path | None = None

    def check(self, read: Iterable[Path]) -> None:
        """Refuse paths that cannot be meant; ``read`` are the files that are input.

        Raises:
            InputError: a suffix of another kind of file, a file that was read, one file for both.
        """
        inputs = list(read)
        asked = {"--sarif": self.sarif, "--junit": self.junit}
        faults = [
            fault
            for option, path in asked.items()
            if path is not None
            for fault in _faults(option, path, inputs)
        ]
        if self.sarif and self.junit and _same(self.sarif, self.junit):
            said = f"--sarif and --junit both write {self.sarif}"
            faults.append(Diagnostic("bad-option", said, help="give each a file of its own"))
        fail_on_errors(faults)

    def write(
        self, messages: Sequence[MessageResults], rules: Sequence[RuleFacts], version: str
    ) -> None:
        """Write the files asked for; raises `InputError` when one cannot be written."""
        from rasterc.output.files import write_whole

        if self.sarif:
            from rasterc.output.sarif import sarif

            write_whole(self.sarif, sarif(messages, rules, version))
        if self.junit:
            from rasterc.output.junit import junit

            write_whole(self.junit, junit(messages, rules))


def _faults(option: str, path: Path, read: Iterable[Path]) -> Iterator[Diagnostic]:
    suffixes = _SUFFIXES[option]
    if path.suffix.lower() not in suffixes:
        said = f"{option} {path} does not end in {' or '.join(suffixes)}"
        yield Diagnostic("bad-option", said, help="name the report to write, not a file to read")
    if any(_same(path, one) for one in read):
        said = f"{option} {path} would overwrite a file that is read"
        yield Diagnostic("bad-option", said, help="give the report a name of its own")


def _same(one: Path, other: Path) -> bool:
    """Whether two paths lead to one file, be it by links."""
    try:
        return one.samefile(other)
    except OSError:  # at least one does not exist yet
        return os.path.realpath(one) == os.path.realpath(other)
