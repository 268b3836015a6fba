"""The files `rasterc check` writes for other programs."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct

from rasterc.cli.common import STANDARD_OUTPUT
from rasterc.diagnostics import Diagnostic, InputError, Severity, fail_on_errors
from rasterc.files import check_outputs, write_file

if TYPE_CHECKING:
    pass
from rasterc.output.reports.results import MessageResults, RuleFacts

_SUFFIXES = {"--sarif": (".sarif", ".json"), "--junit": (".xml",)}


class ReportFiles(Struct, frozen=True):
    """Where reports are to be written; None for one that is not asked for."""

    sarif: Path | None = None
    junit: Path | None = None

    @property
    def paths(self) -> tuple[Path, ...]:
        """The files that will be written."""
        return tuple(path for path in (self.sarif, self.junit) if path is not None)

    @property
    def prints(self) -> bool:
        """Whether one of them is printed on standard output."""
        return STANDARD_OUTPUT in self.paths

    def check(self, as_json: bool = False) -> None:
        """Refuse paths that cannot be meant or written; raises `InputError`."""
        asked = {"--sarif": self.sarif, "--junit": self.junit}
        if as_json and self.prints:
            said = "--json and a report to - both print on standard output"
            raise InputError.one("two-choices", said, help="name a file for the report")
        fail_on_errors([f for option, path in asked.items() if path for f in _faults(option, path)])
        check_outputs(asked.values())

    def write(
        self,
        messages: Sequence[MessageResults],
        rules: Sequence[RuleFacts],
        version: str,
        failing: Collection[Severity],
    ) -> None:
        """Write the files asked for, ``failing`` being the severities that fail.

        Raises:
            InputError: one cannot be written.
        """
        if self.sarif:
            from rasterc.output.reports.sarif import sarif

            write_file(self.sarif, sarif(messages, rules, version))
        if self.junit:
            from rasterc.output.reports.junit import junit

            write_file(self.junit, junit(messages, rules, failing))


def _faults(option: str, path: Path) -> Iterator[Diagnostic]:
    suffixes = _SUFFIXES[option]
    if path == STANDARD_OUTPUT:
        return
    if path.suffix.lower() not in suffixes:
        said = f"{option} {path} does not end in {' or '.join(suffixes)}"
        yield Diagnostic("bad-option", said, help="name the report to write, not a file to read")
