"""What it takes to compile a message anywhere: sent to other processes as it is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from rasterc.batch.compiler import Compiler
from rasterc.diagnostics import fail_on_errors
from rasterc.fonts.model import Font
from rasterc.layout import Composer
from rasterc.profile.model import LineProfile
from rasterc.source.message import Message, Picture
from rasterc.values import Plan, prepare

Pixels = tuple[tuple[int, ...], int]


class Pictures(Composer):
    """A composer that has read its pictures: they stay what they were."""

    __slots__ = ("known",)

    def __init__(self, known: Mapping[str, Pixels]) -> None:
        super().__init__()
        self.known = known

    def picture(self, picture: Picture, folder: str) -> Pixels:
        """A picture's strokes and its height."""
        del folder
        return self.known[picture.path]


@dataclass(frozen=True, slots=True)
class Setup:
    """A message, its fonts and pictures, and the line that prints it."""

    message: Message
    fonts: Mapping[str, Font]
    pictures: Mapping[str, Pixels]
    profile: LineProfile | None = None

    def compiler(self, plan: Plan | None = None) -> Compiler:
        """What compiles its rows; raises `InputError` when the message has faults."""
        if plan is None:
            plan, faults = prepare(self.message)
            fail_on_errors(faults)
        return Compiler(plan, self.fonts, Pictures(self.pictures), self.profile)


def setup_of(
    message: Message, fonts: Mapping[str, Font], composer: Composer, profile: LineProfile | None
) -> Setup:
    """The setup of a message whose pictures are read now; raises `InputError`."""
    found = [block.content for block in message.blocks if isinstance(block.content, Picture)]
    pictures = {one.path: composer.picture(one, message.folder) for one in found}
    return Setup(message, dict(fonts), pictures, profile)
