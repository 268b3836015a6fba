"""The Python API: load a message, resolve it at an instant, take its strokes.

>>> code = load_text('''message demo { raster 7 font upright-7
...   clock packed in "Europe/Dublin"
...   block { line: "L" packed(yyDDD) } }''')
>>> code.resolve("2027-11-25 14:05").lines
('L27329',)
>>> len(code.resolve("2027-11-25 14:05").strokes())
35
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from rasterc.code import Code as Code
from rasterc.diagnostics import InputError, did_you_mean
from rasterc.loading import make_ready
from rasterc.moments import When, moment_of
from rasterc.moments import parse_when as parse_when
from rasterc.printed import Print as Print
from rasterc.source.load import Read, name_of, read_messages, read_messages_in
from rasterc.source.meaning.analyse import choose

if TYPE_CHECKING:
    from rasterc.source.message import Message
    from rasterc.tracing.differences import DiffResult


def load(path: str | Path, message: str | None = None, *, fonts: Iterable[str | Path] = ()) -> Code:
    """Load a message file.

    Args:
        path: a message file.
        message: which of its messages; needed when it holds several.
        fonts: more folders to look for fonts in.

    Raises:
        InputError: with every fault found.
    """
    return choose(load_all(path, fonts=fonts), message, name_of(path))


def load_all(path: str | Path, *, fonts: Iterable[str | Path] = ()) -> dict[str, Code]:
    """Load every message of a file, by name."""
    return _codes(read_messages(path), fonts)


def load_text(
    text: str,
    message: str | None = None,
    *,
    name: str = "message.rasterc",
    folder: str | Path = ".",
    fonts: Iterable[str | Path] = (),
) -> Code:
    """Load a message from text; ``folder`` is where its relative paths start."""
    return choose(_codes(read_messages_in(text, name, folder), fonts), message, name)


def diff(
    old: Code,
    new: Code,
    start: When | None = None,
    years: int = 10,
    *,
    counters: Mapping[str, int] | None = None,
    inputs: Mapping[str, str] | None = None,
) -> DiffResult:
    """Every minute at which two versions of a message print differently.

    Args:
        old, new: the versions.
        start: the first moment; may be left out when neither reads a clock.
        years: how many calendar years are compared.
        counters, inputs: values both print; where none is given, one that both can print.

    Raises:
        InputError: a value does not suit a version that has it, an input has none, or the years
            cannot be looked at.
    """
    from rasterc.tracing.alike import shared_given
    from rasterc.tracing.diff import diff as compare
    from rasterc.tracing.differences import Side
    from rasterc.tracing.given import Given

    numbers, texts = counters or {}, inputs or {}
    _refuse_unknown({**numbers, **texts}, old.message, new.message)
    given = [
        Given(
            {name: numbers[name] for name in code.message.counters if name in numbers},
            {name: texts[name] for name in code.message.inputs if name in texts},
        )
        for code in (old, new)
    ]
    before, after = shared_given(old.plan, new.plan, *given)
    moment = None if start is None else moment_of(start)
    sides = Side(old.plan, before, old.fonts), Side(new.plan, after, new.fonts)
    return compare(*sides, moment, years)


def _refuse_unknown(names: Iterable[str], *messages: Message) -> None:
    known = {name for message in messages for name in (*message.counters, *message.inputs)}
    for name in names:
        if name not in known:
            message = f'no counter or input is called "{name}"'
            raise InputError.one("unknown-name", message, help=did_you_mean(name, known))


def _codes(read: Read, fonts: Iterable[str | Path]) -> dict[str, Code]:
    ready = make_ready(read, [Path(folder) for folder in fonts])
    return {one.message.name: Code(one.message, one.plan, one.fonts, one.composer) for one in ready}
