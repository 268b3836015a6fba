"""An instant, and a message resolved at it: the texts each line prints."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from msgspec import Struct, field

from rasterc.diagnostics import Span
from rasterc.source.message import Block, Line, Message, Picture


class Instant(Struct, frozen=True):
    """The moment, counter values and inputs at which a message is resolved.

    ``when`` with an offset or zone is that moment. A naive ``when`` is wall time in the zone of
    the message's clocks. None is allowed for a message that reads no clock.
    ``counters`` maps a counter to the value it prints (its first value when not given);
    ``inputs`` maps an input to its text (its default when not given).
    """

    when: datetime | None = None
    counters: Mapping[str, int] = field(default_factory=dict)
    inputs: Mapping[str, str] = field(default_factory=dict)


class Run(Struct, frozen=True):
    """The text one piece of a line prints. ``name`` is the field's name, "" for literal text."""

    text: str
    name: str
    span: Span


class ResolvedLine(Struct, frozen=True):
    """A line and its texts."""

    line: Line
    runs: tuple[Run, ...]

    @property
    def text(self) -> str:
        """The whole text of the line."""
        return "".join(run.text for run in self.runs)


class ResolvedBlock(Struct, frozen=True):
    """A block with its lines resolved; a picture stays as it is."""

    block: Block
    content: tuple[ResolvedLine, ...] | Picture


class ResolvedMessage(Struct, frozen=True):
    """A message at an instant, which holds all values that were used.

    ``instant.when`` has a zone unless the message reads no clock; ``instant.counters`` and
    ``instant.inputs`` also hold the defaults of those that were not given.
    """

    message: Message
    instant: Instant
    blocks: tuple[ResolvedBlock, ...]

    @property
    def lines(self) -> tuple[str, ...]:
        """The texts of all lines, block by block, top to bottom: what `expect` compares."""
        return tuple(
            line.text
            for block in self.blocks
            if not isinstance(block.content, Picture)
            for line in block.content
        )
