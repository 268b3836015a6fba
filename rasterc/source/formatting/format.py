"""The canonical form of a message file: `format_text`.

Two blanks for each level, single blank lines kept, options in one order, at most 100 columns
where a statement can be broken. Declarations stay in the order written, and so do comments:
those on a line of their own stand before what they precede, others at the end of their line. A
comment inside a statement moves before it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from rasterc.diagnostics import SourceText, fail_on_errors
from rasterc.source.formatting.outline import Group, Leaf, Part, Style, outline
from rasterc.source.parse import parse

WIDTH = 100
_BLANKS = " \t\r\f\ufeff\u00a0\u1680\u202f\u205f\u3000" + "".join(map(chr, range(0x2000, 0x200B)))
_INDENT = "  "
_CONTINUED = "    "
_COMMENT = re.compile(
    r'"(?:[^"\\\r\n]|\\.)*"'
    r"|\((?:[^()'\"\r\n]|'[^'\r\n]*'|\"(?:[^\"\\\r\n]|\\.)*\")*\)"
    r"|(?P<comment>#[^\n]*)"
)


def format_text(text: str, name: str = "message.rasterc") -> str:
    """A message file's text in its canonical form.

    The meaning stays the same, every comment is kept, and formatting twice changes nothing more.
    Lines end with a line feed whatever they ended with before.

    Raises:
        InputError: the text does not parse; with everything that is wrong.
    """
    parsed = parse(SourceText(name, text))
    fail_on_errors(parsed.diagnostics)
    writer = _Writer(text)
    for part in outline(parsed.file):
        writer.part(part, 0)
    return writer.finish()


@dataclass(frozen=True, slots=True)
class _Comment:
    start: int
    end: int
    text: str


def _comments(text: str) -> list[_Comment]:
    """The comments of a text that parses."""
    found = (m for m in _COMMENT.finditer(text) if m["comment"])
    return [_Comment(m.start(), m.end(), m["comment"].rstrip()) for m in found]


class _Writer:
    """Writes parts in order, and the comments between them at their places."""

    def __init__(self, text: str) -> None:
        self._text = text
        self._comments = _comments(text)
        self._next = 0  # the first comment not yet written
        self._lines: list[str] = []
        self._end = 0  # end, in the text, of what was written last
        self._opened = True  # nothing was written yet at this level

    def part(self, part: Part, depth: int) -> None:
        """Write a statement with the comments before, in and directly behind it."""
        self._own_lines(part.brace if isinstance(part, Group) else part.end, part.start, depth)
        self._blank_line(part.start)
        one_line = self._on_one_line(part, depth)
        if one_line is not None:
            self._put(one_line, part.end)
        elif isinstance(part, Group):
            self._group(part, depth)
        else:
            self._put(_wrapped(part.atoms, depth), part.end)

    def finish(self) -> str:
        """The whole text."""
        self._own_lines(len(self._text), len(self._text), 0)
        return "".join(f"{line}\n" for line in self._lines)

    def _on_one_line(self, part: Part, depth: int) -> list[str] | None:
        """A group in one line, when its style and its comments allow that and it fits."""
        if isinstance(part, Leaf) or self._has_comments(part.end):
            return None
        if part.style is Style.LINES and part.parts:
            return None
        if part.style is Style.SINGLE and len(part.parts) > 1:
            return None
        inside = [atom for inner in part.parts for atom in inner.atoms]
        words = [*part.atoms, "{", *inside, "}"] if inside else [*part.atoms, "{}"]
        line = _INDENT * depth + " ".join(words)
        return [line] if len(line) <= WIDTH else None

    def _group(self, group: Group, depth: int) -> None:
        self._put(_wrapped([*group.atoms, "{"], depth), group.brace + 1)
        self._opened = True
        if group.style is Style.FILL and not self._has_comments(group.end):
            atoms = [atom for part in group.parts for atom in part.atoms]
            self._lines += _wrapped(atoms, depth + 1, _INDENT * (depth + 1))
        else:
            for part in group.parts:
                self.part(part, depth + 1)
        self._own_lines(group.end, group.end, depth + 1)
        self._put([_INDENT * depth + "}"], group.end)

    def _has_comments(self, end: int) -> bool:
        """Whether the next comment stands before ``end``."""
        return self._next < len(self._comments) and self._comments[self._next].start < end

    def _own_lines(self, end: int, start: int, depth: int) -> None:
        """Write the comments before ``end``, the start of what follows being ``start``."""
        while self._has_comments(end):
            comment = self._comments[self._next]
            self._next += 1
            if comment.start < start:
                self._blank_line(comment.start)
            self._lines.append(_INDENT * depth + comment.text)
            self._opened = False
            self._end = comment.end

    def _blank_line(self, start: int) -> None:
        """Keep a blank line that stood before ``start``."""
        if not self._opened and self._text.count("\n", self._end, start) > 1:
            self._lines.append("")

    def _put(self, lines: Sequence[str], end: int) -> None:
        """Write lines, and the comment that stood behind their last word."""
        self._lines += lines
        self._end = end
        self._opened = False
        if self._next < len(self._comments):
            comment = self._comments[self._next]
            if not self._text[end : comment.start].strip(_BLANKS):
                self._lines[-1] += "  " + comment.text
                self._next += 1
                self._end = comment.end


def _wrapped(atoms: Sequence[str], depth: int, continued: str | None = None) -> list[str]:
    """Atoms on as many lines as needed; an atom too long for a line has one of its own."""
    first = _INDENT * depth
    continued = first + _CONTINUED if continued is None else continued
    lines: list[str] = []
    line = ""
    for atom in atoms:
        if not line:
            line = first + atom
        elif len(line) + 1 + len(atom) <= WIDTH:
            line += " " + atom
        else:
            lines.append(line)
            line = continued + atom
    return [*lines, line]
