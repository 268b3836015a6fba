"""The head of a message: its raster, and what holds for its lines unless they say otherwise."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct, structs

from rasterc.diagnostics import Span
from rasterc.source.meaning.lines import MAX_GAP, Defaults
from rasterc.source.meaning.phrases import once, whole_number
from rasterc.source.meaning.scope import Scope
from rasterc.source.message import (
    MAX_SPACING,
)
from rasterc.source.pieces import Word
from rasterc.source.tree import syntax as s

MIN_RASTER, MAX_RASTER = 5, 16
DEFAULT_LANGUAGE = "en"


class Head(Struct, frozen=True):
    """A message's settings."""

    defaults: Defaults
    raster_span: Span
    language: Word | None


def read_head(node: s.MessageNode, scope: Scope) -> Head:
    """The head of a message; what is wrong with it goes to the scope."""
    settings: dict[str, Word] = {}
    seen: dict[str, Span] = {}
    for item in node.body:
        if isinstance(item, s.Setting):
            with scope.problems.catching():
                once(item.keyword.text, item.keyword.span, seen)
                settings[item.keyword.text] = item.value
    if "raster" not in settings and scope.whole:
        scope.problems.add(
            "no-raster",
            f'the message "{node.name.text}" does not say how many drops high it is',
            node.name.span,
            "write for example: raster 16",
        )
    defaults = Defaults(
        raster=_number(settings, "raster", "raster", MIN_RASTER, MAX_RASTER, scope),
        font=settings.get("font"),
        spacing=_number(settings, "spacing", "the spacing", 0, MAX_SPACING, scope) or 0,
    )
    gap = _number(settings, "gap", "the gap", 0, MAX_GAP, scope)
    if gap is not None:
        defaults = structs.replace(defaults, gap=gap)
    raster = settings.get("raster")
    return Head(defaults, raster.span if raster else node.name.span, settings.get("language"))


def _number(
    settings: Mapping[str, Word], keyword: str, what: str, low: int, high: int, scope: Scope
) -> int | None:
    """The value of a setting that is a number, or None when it is not given or wrong."""
    if keyword in settings:
        with scope.problems.catching():
            return whole_number(settings[keyword], what, low, high)
    return None
