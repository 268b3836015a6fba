"""What the page can ask for. A message of the websocket is one of these, or it is refused."""

from __future__ import annotations

from typing import Annotated

import msgspec
from msgspec import Meta, Struct

MAX_TEXT = 1 << 20  # characters of a message file
MAX_FRAME = 6 << 20  # bytes of one message of the websocket: a text of escapes

_Text = Annotated[str, Meta(max_length=MAX_TEXT)]
_Short = Annotated[str, Meta(max_length=1000)]
_Years = Annotated[int, Meta(ge=1, le=50)]


class Request(Struct, frozen=True, tag_field="ask", forbid_unknown_fields=True, kw_only=True):
    """Something asked for; every answer names its number."""

    id: Annotated[int, Meta(ge=0)]


class Hello(Request, frozen=True, tag="hello", kw_only=True):
    """The first message of a page: the token it was opened with."""

    token: _Short


class ListAll(Request, frozen=True, tag="list", kw_only=True):
    """Every message of the plant, as it prints at a moment (now when empty)."""

    at: _Short = ""


class Open(Request, frozen=True, tag="open", kw_only=True):
    """The text of a message file."""

    file: _Short


class Draft(Request, frozen=True, kw_only=True):
    """A text in the editor, and values to print it with.

    ``file`` is where its paths start; ``run`` which of the plant's runs it stands for, so that the
    line is known; ``at`` a moment as ISO 8601 text, now when empty.
    """

    file: _Short
    text: _Text
    message: _Short = ""
    line: _Short = ""
    at: _Short = ""
    counters: dict[str, int] = {}
    inputs: dict[str, _Short] = {}


class Draw(Draft, frozen=True, tag="draw", kw_only=True):
    """The drops of a draft, and what is wrong with it."""


class Check(Draft, frozen=True, tag="check", kw_only=True):
    """What the rules find in a draft at its moment."""


class Survey(Draft, frozen=True, tag="survey", kw_only=True):
    """What the rules find over all values and so many years."""

    years: _Years = 5


class Extremes(Draft, frozen=True, tag="extremes", kw_only=True):
    """The extremes of a draft over so many years."""

    years: _Years = 10


class Reading(Draft, frozen=True, tag="reading", kw_only=True):
    """How likely its characters are misread."""


class Days(Draft, frozen=True, tag="days", kw_only=True):
    """The days on which something happens to a draft."""

    years: _Years = 10


class Compare(Draft, frozen=True, tag="compare", kw_only=True):
    """When a draft prints otherwise than its file on the disk, over so many years."""

    years: _Years = 10


class Edge(Draft, frozen=True, tag="edge", kw_only=True):
    """The next beginning of a shift, or the one before."""

    back: bool


class Export(Draft, frozen=True, tag="export", kw_only=True):
    """A picture or the strokes, as a file of a kind."""

    kind: _Short


class Format(Request, frozen=True, tag="format", kw_only=True):
    """A text in its canonical form."""

    text: _Text


class Save(Request, frozen=True, tag="save", kw_only=True):
    """Write a text over a file that was read with this digest."""

    file: _Short
    text: _Text
    digest: _Short
    final_digest: _Short = ""


class Create(Request, frozen=True, tag="create", kw_only=True):
    """Write a text as a new file; the plant file names it from then on, on a line or on all."""

    file: _Short
    text: _Text
    line: _Short = ""


class Find(Request, frozen=True, tag="find", kw_only=True):
    """Which messages could have printed a code, with ? for what could not be read."""

    lines: Annotated[list[_Short], Meta(min_length=1, max_length=40)]
    at: _Short = ""
    years: _Years = 10


class Explain(Request, frozen=True, tag="explain", kw_only=True):
    """What a rule means."""

    rule: _Short


class Words(Request, frozen=True, tag="words", kw_only=True):
    """What can be written: statements, options, date letters with what they print at a moment."""

    at: _Short = ""


class KeepViews(Request, frozen=True, tag="keep-views", kw_only=True):
    """The views that people keep under a name."""

    views: Annotated[dict[str, _Short], Meta(max_length=100)]


class Looked(Request, frozen=True, tag="looked", kw_only=True):
    """A file has been looked at as it is."""

    file: _Short
    digest: _Short


Asked = (
    Hello | ListAll | Open | Draw | Check | Survey | Extremes | Reading | Days | Compare | Edge
    | Export | Format | Save | Create | Find | Explain | Words | KeepViews | Looked
)  # fmt: skip
"""Anything that can be asked for."""

decode = msgspec.json.Decoder(Asked).decode
"""A message of the websocket as a request; raises `msgspec.DecodeError`."""
