"""Literal texts of lines, and what stands beside them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rasterc.checks.printed.introduced import introduction
from rasterc.checks.printed.lead_words import Lead, leads_at_end
from rasterc.checks.printed.tokens import PrintedLine, Token, printed_lines
from rasterc.checks.printed.written import Written, written_dates
from rasterc.checks.subject import Subject, once
from rasterc.diagnostics import Span
from rasterc.values.fields.kinds import InputText


@dataclass(frozen=True, slots=True)
class Segment:
    """Literal text with no field in it, or the default of an input.

    ``before`` and ``after`` are the fields at its sides, None at the ends of the line; ``since``
    is literal text before an input.
    """

    text: str
    span: Span
    line: PrintedLine
    before: Token | None = None
    after: Token | None = None
    offset: int = 0
    since: str = ""

    def leads_before(self, start: int) -> tuple[Lead, ...]:
        """The leads of what begins at a place of it."""
        whole = self.line.words[: self.offset + start]
        own = self.since + self.text[:start]
        return leads_at_end(introduction(self.line.surroundings, whole, own))


@once
def segments(subject: Subject) -> tuple[Segment, ...]:
    """Every literal text of the lines, joined where no field parts it."""
    return tuple(part for line in printed_lines(subject) for part in _segments(line))


def _segments(line: PrintedLine) -> Iterator[Segment]:
    text, spans, before, offset = "", list[Span](), None, 0
    for token in (*line.tokens, None):
        if token is not None and token.field is None:
            text, spans = text + token.text, [*spans, token.span]
            continue
        if text:
            yield Segment(text, spans[0], line, before, token, offset)
        if token is not None:
            if isinstance(token.field.source if token.field else None, InputText) and token.text:
                yield Segment(token.text, token.span, line, before, None, offset + len(text), text)
            offset += len(text) + len(token.text)
        text, spans, before = "", [], token


def written(subject: Subject) -> Iterator[tuple[Segment, Written, tuple[Lead, ...]]]:
    """Every date written by hand, with the words before it."""
    for segment in segments(subject):
        for one in written_dates(segment.text):
            yield segment, one, segment.leads_before(one.start)
