"""Findings as reports for other programs need them: plain records, apart from the rules."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from msgspec import Struct

from rasterc.diagnostics import Severity, Span


class RuleFacts(Struct, frozen=True):
    """What a report says of a rule.

    ``help`` is its rationale and source in one text; ``family`` the group it stands in.
    """

    id: str
    title: str
    help: str
    severity: Severity
    family: str


class Result(Struct, frozen=True):
    """One finding.

    ``because`` is the reason it is silenced for, None when it is not; ``outside`` when that does
    not stand in the message.
    """

    rule: str
    severity: Severity
    message: str
    remedy: str
    span: Span | None
    at: str = ""
    because: str | None = None
    outside: bool = False

    @property
    def text(self) -> str:
        """What was found, when, and what to do."""
        when = f" (at {self.at})" if self.at else ""
        remedy = f" Remedy: {self.remedy}." if self.remedy else ""
        return f"{self.message}{when}.{remedy}"


class MessageResults(Struct, frozen=True):
    """The findings in one message of one file.

    ``faults`` are what kept it from being checked: the rule of each is the code of a diagnostic.
    ``message`` is "" when the file could not be read. ``line`` is the line it runs on, None outside
    a plant; ``asked`` the rules that were asked, None for all that there are.
    """

    message: str
    file: str
    results: Sequence[Result] = ()
    faults: Sequence[Result] = ()
    line: str | None = None
    asked: Collection[str] | None = None
