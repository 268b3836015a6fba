"""What a strict batch does not begin with: findings of the rules, examples that do not hold."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from rasterc.diagnostics import Diagnostic, InputError, Severity

if TYPE_CHECKING:
    from rasterc.api import Print
    from rasterc.cli.batch.asked import Ready


def findings(ready: Ready) -> list[Diagnostic]:
    """What the rules find in the first row and in the last, each once."""
    checker = ready.code.checker(ready.profile)
    found: dict[tuple[str, str], Diagnostic] = {}
    for printed in _prints(ready):
        for one in checker.report(printed).findings:
            said = Diagnostic(one.rule, one.message, one.span, one.remedy, Severity.ERROR)
            found.setdefault((one.rule, one.message), said)
    return list(found.values())


def _prints(ready: Ready) -> Iterator[Print]:
    """The first row and the last; of data only the first, for the last is not known."""
    source = ready.job.source
    count = source.count
    for number in (1,) if count is None else dict.fromkeys((1, count)):
        for rows in source.at([number]):
            try:
                yield ready.code.resolve_at(rows.instant(0))
            except InputError:
                return  # it is told when the row is compiled
