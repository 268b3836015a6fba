"""A list of messages as one HTML file: every message as drops, its state and what is ahead of it.

The file needs nothing else: no server, no network, and its script only narrows the list. Without
it everything is there.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

from msgspec import Struct, structs

from rasterc.diagnostics import visible
from rasterc.layout.model import Strokes
from rasterc.output.code.geometry import DropGeometry
from rasterc.output.code.kinds.svg import render_svg
from rasterc.output.lists.looks import SCRIPT, STYLE

ENLARGED = 2
"""How much larger than printed codes are drawn, where there is room for it."""


class Entry(Struct, frozen=True):
    """A message on a line, as it is shown.

    Attributes:
        name: of the message, or of the file that cannot be read.
        line: the line's name; "" without one.
        file: its file.
        facts: raster, length and the like, in a few words each.
        state: what is known of it, in a word or two.
        mark: the same as a name of the style sheet: broken, errors, warnings, notes, good, unknown.
        ahead: the next day of interest and what happens; of a broken message, why it is.
        texts: what it prints, line by line.
        strokes: the same as drops; None when it cannot be printed.
        geometry: how the drops look on the line.
    """

    name: str
    line: str
    file: str
    facts: tuple[str, ...]
    state: str
    mark: str
    ahead: str
    texts: tuple[str, ...] = ()
    strokes: Strokes | None = None
    geometry: DropGeometry = DropGeometry()


def render_page(title: str, summary: str, entries: Sequence[Entry]) -> str:
    """The whole file.

    Args:
        title: the name of the plant.
        summary: how many there are, in which states.
        entries: in order.
    """
    lines = dict.fromkeys(entry.line for entry in entries if entry.line)
    states = dict.fromkeys(entry.state for entry in entries)
    return "\n".join(
        [
            '<!doctype html><html lang="en"><head><meta charset="utf-8">',
            '<meta name="viewport" content="width=device-width, initial-scale=1">',
            '<meta http-equiv="Content-Security-Policy" content="default-src \'none\'; '
            "style-src 'unsafe-inline'; script-src 'unsafe-inline'\">",
            f"<title>{_said(title)}</title><style>{STYLE}</style></head><body>",
            f"<header><h1>{_said(title)}</h1><p>{_said(summary)}</p>",
            _controls(lines, states),
            '</header><main><p id="none" hidden>Nothing is like this.</p><ol>',
            *map(_item, entries),
            f"</ol></main><script>{SCRIPT}</script></body></html>\n",
        ]
    )


def _controls(lines: Iterable[str], states: Iterable[str]) -> str:
    """What narrows the list; hidden until the script is there."""
    return (
        '<form hidden><label>Search <input type="search" id="words"></label>'
        f"<label>Line {_choice('line', lines)}</label>"
        f"<label>State {_choice('state', states)}</label>"
        '<output id="shown"></output></form>'
    )


def _choice(name: str, values: Iterable[str]) -> str:
    options = "".join(f"<option>{_said(value)}</option>" for value in values)
    return f'<select id="{name}"><option value="">all</option>{options}</select>'


def _item(entry: Entry) -> str:
    line = f'<span class="line">{_said(entry.line)}</span>' if entry.line else ""
    facts = " · ".join(map(_said, entry.facts))
    return (
        f'<li data-line="{_said(entry.line)}" data-state="{_said(entry.state)}">'
        f'<div class="what"><h2>{_said(entry.name)}</h2><p>{line} {facts}</p>'
        f'<p class="file">{_said(entry.file)}</p></div>'
        f'<div class="drops">{_drops(entry)}{_texts(entry.texts)}</div>'
        f'<div class="ahead"><p><b class="{entry.mark}">{_said(entry.state)}</b></p>'
        f"<p>{_said(entry.ahead)}</p></div></li>"
    )


def _drops(entry: Entry) -> str:
    if entry.strokes is None:
        return ""
    title = " / ".join(filter(str.strip, entry.texts)) or entry.name
    drawn = render_svg(entry.strokes, _enlarged(entry.geometry), title=title)
    return drawn.replace("<svg ", '<svg role="img" ', 1).strip()


def _enlarged(geometry: DropGeometry) -> DropGeometry:
    """Larger than printed, for eyes that are farther away from a screen."""
    names = ("stroke_pitch_mm", "row_pitch_mm", "dot_diameter_mm", "slant_mm")
    larger = {name: ENLARGED * getattr(geometry, name) for name in names}
    return structs.replace(geometry, **larger)


def _texts(texts: Iterable[str]) -> str:
    shown = "\n".join(map(_said, texts))
    return f"<pre>{shown}</pre>" if shown else ""


def _said(text: str) -> str:
    """Text for HTML, with nothing in it that cannot be seen."""
    return escape(visible(text.encode(errors="replace").decode()))
