"""Verdicts kept in the user's cache.

An entry lies under a digest of the program, of the file's name and of how it was held. In it are
the questions that were asked of the file system meanwhile, with their answers: the entry counts
only as long as every one of them is answered the same. The folder may be deleted at any time.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from hashlib import sha256
from typing import TypeVar

import msgspec
from msgspec import Struct, structs

from rasterc.diagnostics import Diagnostic, SourceText, Span
from rasterc.domain.count import Count
from rasterc.files.answers import Answers, Noted, Question
from rasterc.files.cache import Cache
from rasterc.inspection.release import release
from rasterc.inspection.tasks import Task
from rasterc.inspection.verdict import Looked, Verdict

_Kind = TypeVar("_Kind")
_WHAT = "verdicts on a message file"


class _Entry(Struct, array_like=True):
    """A result, and what was asked of the file system for it."""

    noted: list[tuple[Question, str]]
    result: msgspec.Raw


class Memory:
    """Results of earlier runs that still hold.

    Attributes:
        read: every file that one that was taken depends on.
    """

    def __init__(self, cache: Cache) -> None:
        self._cache = cache
        self._answers = Answers()
        self.read: set[str] = set()

    def get(self, name: object, kind: type[_Kind]) -> _Kind | None:
        """The result of that name, while the file system answers as it did; else None.

        Args:
            name: what it depends on beside files; plain values.
            kind: its type.
        """
        data = self._cache.get(_key(name))
        if data is None:
            return None
        entry = _decoded(data)
        noted = dict(entry.noted)
        if not self._answers.are(noted):
            return None
        self.read |= files_of(noted)
        return msgspec.msgpack.decode(entry.result, type=kind)

    def noted(self, name: object) -> Noted | None:
        """What was asked for the result of that name, while it holds; else None."""
        data = self._cache.get(_key(name))
        noted = None if data is None else dict(_decoded(data).noted)
        return noted if noted is not None and self._answers.are(noted) else None

    def put(self, name: object, what: str, noted: Noted, result: Struct) -> None:
        """Keep a result; nothing where a name in it cannot be written down."""
        try:
            raw = msgspec.Raw(msgspec.msgpack.encode(result))
            data = msgspec.msgpack.encode(_Entry(list(noted.items()), raw))
        except UnicodeEncodeError:
            return
        self._cache.put(_key(name), what, data)


def _decoded(data: bytes) -> _Entry:
    return msgspec.msgpack.decode(data, type=_Entry)


class _Looked(Struct, array_like=True):
    """What came of a task, as it is kept.

    Attributes:
        looked: places in it are in texts that are called by their number; it lacks ``strings``.
        sources: the texts.
        strings: how many strings each verdict covers, and whether that is exact: numbers of any
            length, as text.
    """

    looked: Looked
    sources: list[SourceText]
    strings: list[tuple[str, bool] | None]


def recall(memory: Memory, task: Task) -> Looked | None:
    """What is known of a task; None when it must be looked at."""
    found = memory.get(task, _Looked)
    if found is None:
        return None
    sources = {str(number): source for number, source in enumerate(found.sources)}
    looked = _with_spans(found.looked, lambda source: sources[source.name])
    kept = map(_as_kept, looked.verdicts, map(_count, found.strings))
    return structs.replace(looked, verdicts=tuple(kept))


def keep(memory: Memory, task: Task, looked: Looked, noted: Noted) -> None:
    """Keep what is known of a task now."""
    numbers: dict[SourceText, int] = {}

    def numbered(source: SourceText) -> SourceText:
        return SourceText(str(numbers.setdefault(source, len(numbers))), "")

    small = _without_counts(_with_spans(looked, numbered))
    counts = [_written(verdict.coverage.strings) for verdict in looked.verdicts]
    memory.put(task, _WHAT, noted, _Looked(small, list(numbers), counts))


def files_of(noted: Iterable[Question]) -> set[str]:
    """The files whose contents were asked for."""
    return {question.path for question in noted if question.what == "contents"}


def _key(name: object) -> str:
    whole = repr((release(), name))  # tells every value, also names that are no UTF-8
    return sha256(whole.encode(errors="surrogatepass")).hexdigest()


def _as_kept(verdict: Verdict, strings: Count | None) -> Verdict:
    return structs.replace(
        verdict, cached=True, coverage=replace(verdict.coverage, strings=strings)
    )


def _without_counts(looked: Looked) -> Looked:
    return structs.replace(
        looked,
        verdicts=tuple(
            structs.replace(one, coverage=replace(one.coverage, strings=None))
            for one in looked.verdicts
        ),
    )


def _written(count: Count | None) -> tuple[str, bool] | None:
    return None if count is None else (f"{count.number:x}", count.exact)  # hex has no limit


def _count(written: tuple[str, bool] | None) -> Count | None:
    return None if written is None else Count(int(written[0], 16), written[1])


_Moved = Callable[[SourceText], SourceText]


def _with_spans(looked: Looked, moved: _Moved) -> Looked:
    """The same with every place in another text."""
    return structs.replace(
        looked,
        verdicts=tuple(_verdict(one, moved) for one in looked.verdicts),
        noted=_diagnostics(looked.noted, moved),
    )


def _verdict(verdict: Verdict, moved: _Moved) -> Verdict:
    return structs.replace(
        verdict,
        findings=tuple(replace(one, span=_span(one.span, moved)) for one in verdict.findings),
        silenced=tuple(
            structs.replace(one, finding=replace(one.finding, span=_span(one.finding.span, moved)))
            for one in verdict.silenced
        ),
        faults=_diagnostics(verdict.faults, moved),
    )


def _diagnostics(diagnostics: Iterable[Diagnostic], moved: _Moved) -> tuple[Diagnostic, ...]:
    return tuple(structs.replace(one, span=_span(one.span, moved)) for one in diagnostics)


def _span(span: Span | None, moved: _Moved) -> Span | None:
    return None if span is None else Span(moved(span.source), span.start, span.end)
