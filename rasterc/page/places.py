"""Diagnostics and findings for the page: their places in its text, and remedies it can apply."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from msgspec import Struct

from rasterc.diagnostics import Diagnostic, Span

if TYPE_CHECKING:
    from rasterc.checks.model import Finding

_MEANT = re.compile(r'did you mean "([^"]+)"\?')


class Place(Struct, frozen=True):
    """Characters of a text: ``start`` (included) to ``end`` (excluded), code points from 0.

    ``file`` is the name of another file it lies in, "" for the text itself.
    """

    start: int
    end: int
    line: int
    column: int
    file: str = ""


class Edit(Struct, frozen=True):
    """A remedy that can be applied: what it is called, and the text to put in a place."""

    label: str
    start: int
    end: int
    text: str


class Fault(Struct, frozen=True):
    """A diagnostic, or a finding with its numbers and the moment it was found at."""

    code: str
    severity: str
    message: str
    help: str
    place: Place | None
    edits: tuple[Edit, ...] = ()
    at: str = ""
    times: int = 1
    strokes: tuple[int, int] | None = None
    measured: float | None = None
    limit: float | None = None
    unit: str = ""
    covered: str = ""
    because: str = ""
    source: str = ""
    title: str = ""
    can_be_silenced: bool = False


def place_of(span: Span | None, name: str) -> Place | None:
    """Where a span lies, as seen from the text called ``name``."""
    if span is None:
        return None
    other = "" if span.source.name == name else span.source.name
    return Place(span.start, span.end, span.line, span.column, other)


def faults_of(diagnostics: Iterable[Diagnostic], name: str) -> tuple[Fault, ...]:
    """Diagnostics for the page whose text is called ``name``."""
    return tuple(
        Fault(
            one.code, str(one.severity), one.message, one.help,
            place_of(one.span, name), tuple(_edits(one, name)),
        )
        for one in diagnostics
    )  # fmt: skip


def fault_of_finding(finding: Finding, name: str, covered: str, because: str = "") -> Fault:
    """A finding for the page, with how far its verdict reaches and why it is accepted."""
    from rasterc.checks.registry import find_rule

    rule = find_rule(finding.rule)
    return Fault(
        finding.rule, str(finding.severity), finding.message, finding.remedy,
        place_of(finding.span, name), (), finding.at, finding.times, finding.strokes,
        finding.measured, finding.limit, finding.unit, covered, because,
        rule.source, rule.title, rule.can_be_silenced,
    )  # fmt: skip


def _edits(fault: Diagnostic, name: str) -> Iterator[Edit]:
    """The nearest known word in the place of one that is not known."""
    meant = _MEANT.search(fault.help)
    if meant is None or fault.span is None or fault.span.source.name != name:
        return
    span, word = fault.span, meant[1]
    text = f'"{word}"' if span.text.startswith('"') else word
    yield Edit(word, span.start, span.end, text)
