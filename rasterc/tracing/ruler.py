"""The length of a message in strokes, from the advances of its lines."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from rasterc.fonts.model import Font
from rasterc.layout.arrange import Composer
from rasterc.layout.lines import LineSetter
from rasterc.source.message import Message, Picture
from rasterc.values.dates.offsets import Minutes


@dataclass(frozen=True, slots=True)
class Ruler:
    """Measures a message in its fonts.

    Attributes:
        setters: one for each line, block by block, top to bottom.
        blocks: for each block how many lines it has and how long its picture is.
        gaps: empty strokes before each block.
    """

    setters: tuple[LineSetter, ...]
    blocks: tuple[tuple[int, int], ...]
    gaps: tuple[int, ...]

    @classmethod
    def of(cls, message: Message, fonts: Mapping[str, Font]) -> Ruler:
        """The ruler of a message.

        Raises:
            InputError: a picture cannot be read.
        """
        composer = Composer()
        blocks = []
        for block in message.blocks:
            if isinstance(block.content, Picture):
                blocks.append((0, len(composer.picture(block.content, message.folder)[0])))
            else:
                blocks.append((len(block.content), 0))
        setters = tuple(LineSetter(fonts[line.font], line) for line in message.lines)
        return cls(setters, tuple(blocks), tuple(block.gap for block in message.blocks))

    def length(self, advances: Minutes) -> Minutes:
        """Strokes of the message, from the advances of its lines on the last axis."""
        total = np.full(advances.shape[:-1], sum(self.gaps), np.int64)
        at = 0
        for count, picture in self.blocks:
            own = [self._line(at + i, advances[..., at + i]) for i in range(count)]
            total += np.maximum.reduce(own) if own else picture
            at += count
        return total

    def _line(self, index: int, advance: Minutes) -> Minutes:
        """Strokes of a line; see `rasterc.layout.lines` for the sum."""
        setter = self.setters[index]
        printed = np.maximum(0, advance - setter.trailing) + 2 * setter.margin
        length: Minutes = np.where(advance > 0, printed, 0)
        return length


def advance(setter: LineSetter, text: str) -> int:
    """Strokes from the start of a text to the start of what follows it."""
    return sum(map(setter.advance, text))
