"""From text to the syntax tree, with a diagnostic for every mistake.

The LALR parser is fed token by token. At a token that cannot stand where it does, the mistake is
reported and the parser is brought back to a state from which it can go on (see
`rasterc.source.repair.recover`), so that several mistakes of one text are reported together.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from itertools import chain, islice

from msgspec import Struct, field

from rasterc.diagnostics import Diagnostic, SourceText, Span
from rasterc.source.tree.keywords import DECLARATIONS
from rasterc.source.tree.syntax import File, declarations_in

MAX_SOURCE_BYTES = 1 << 20
MAX_WORDS = 30_000
MAX_FAULTS = 50

_UNUSABLE = re.compile("[\x00\ud800-\udfff]")
# Characters that nobody sees, outside texts and comments; a byte order mark may begin a line.
_HIDDEN = re.compile(
    r'"(?:[^"\\\r\n]|\\.)*"|#[^\n]*|\'[^\'\r\n]*\'|(?P<hidden>'
    "[\u00ad\u061c\u180e\u200b-\u200f\u2028-\u202e\u2060-\u2064\u2066-\u206f]|(?<=[^\n])\ufeff)"
)
_DECLARED = re.compile(rf"^[ \t{{]*({'|'.join(DECLARATIONS)})[ \t]+([^\W\d][\w-]*)", re.MULTILINE)


class Parsed(Struct, frozen=True):
    """A file's syntax tree and what is wrong with its text.

    ``lost`` holds the names that the text declares in statements which could not be read, and as
    what ("clock", ...): using one of them is no further mistake. ``whole`` tells whether every
    statement could be read; ``nameless``, whether one that could not may declare any name.
    """

    file: File
    diagnostics: tuple[Diagnostic, ...] = ()
    lost: Mapping[str, str] = field(default_factory=dict)
    whole: bool = True
    nameless: bool = False


def parse(source: SourceText) -> Parsed:
    """The syntax tree of a text. Never raises for what the text holds.

    Statements that cannot be read are left out of the tree. At most
    `MAX_FAULTS` diagnostics are given, and one more that says so.
    """
    refused = _refusal(source)
    if refused is not None:
        return Parsed(File(source, ()), (refused,), whole=False)
    from rasterc.source.repair.recover import Recovery
    from rasterc.source.tree.build import Builder

    hidden = _hidden_in(source)
    if hidden:  # read on without them, so that a word they stand in is read as it looks
        source = SourceText(source.name, _HIDDEN.sub(_unless_hidden, source.text))
    declared = _DECLARED.findall(source.text)
    run = Recovery(source, MAX_WORDS, MAX_FAULTS, frozenset(name for _, name in declared))
    tree = run.tree()
    builder = Builder(source, run.broken_at)
    file = builder.file(tree)
    found = [*hidden, *run.diagnostics, *builder.problems]
    diagnostics = limited(sorted(found, key=_place))
    whole = not run.diagnostics
    lost = {} if whole else _lost_names(file, declared)
    return Parsed(file, diagnostics, lost, whole, run.nameless)


def _hidden_in(source: SourceText) -> list[Diagnostic]:
    """A report of every character that nobody sees; not many more than can be shown."""
    if source.text.isascii():
        return []
    from rasterc.source.repair.wording import invisible

    places = (m for m in _HIDDEN.finditer(source.text) if m["hidden"])
    return [invisible(Span(source, m.start(), m.end())) for m in islice(places, MAX_FAULTS + 1)]


def _unless_hidden(match: re.Match[str]) -> str:
    return "" if match["hidden"] else match[0]


def limited(diagnostics: Sequence[Diagnostic]) -> tuple[Diagnostic, ...]:
    """At most `MAX_FAULTS` diagnostics, and one more that says so."""
    from rasterc.source.repair.wording import TOO_MANY, too_many

    kept = [d for d in diagnostics if d.code != TOO_MANY]
    if len(kept) == len(diagnostics) <= MAX_FAULTS:
        return tuple(kept)
    shown = kept[:MAX_FAULTS]
    return (*shown, too_many(shown[-1].span, MAX_FAULTS))


def _place(diagnostic: Diagnostic) -> int:
    return diagnostic.span.start if diagnostic.span else 0


def _refusal(source: SourceText) -> Diagnostic | None:
    """Why the text is not read at all, or None."""
    text = source.text
    unusable = _UNUSABLE.search(text)
    if unusable is not None:
        return Diagnostic(
            "not-text",
            f"this is not text: it holds the character U+{ord(unusable[0]):04X}",
            Span(source, unusable.start(), unusable.end()),
            "message files are plain text, saved as UTF-8",
        )
    if len(text) > MAX_SOURCE_BYTES or len(text.encode(errors="replace")) > MAX_SOURCE_BYTES:
        return Diagnostic(
            "too-large",
            "the text is larger than 1 MiB",
            Span(source, 0, 0),
            'split it into several files and take their declarations with `use "..."`',
        )
    return None


def _lost_names(file: File, declared: Sequence[tuple[str, str]]) -> dict[str, str]:
    """Names that the text declares more often than the tree does, and the kind of each."""
    inside = (declarations_in(message) for message in file.messages)
    kept = Counter(node.name.text for node in chain(file.declarations, *inside))
    written = Counter(name for _, name in declared)
    return {name: kind for kind, name in declared if written[name] > kept[name]}
