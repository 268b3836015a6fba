"""Verdicts kept in the user's cache.

An entry lies under a digest of the program, of the file's name and of how it was held. In it are
the questions that were asked of the file system meanwhile, with their answers: the entry counts
only as long as every one of them is answered the same. The folder may be deleted at any time.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from hashlib import sha256

import msgspec
from msgspec import Struct, structs

from rasterc.diagnostics import Diagnostic, SourceText, Span
from rasterc.domain.count import Count
from rasterc.files.answers import Answers, Noted, Question
from rasterc.files.cache import Cache
from rasterc.inspection.release import release
from rasterc.inspection.tasks import Task
from rasterc.inspection.verdict import Looked, Verdict

CACHE = "verdicts"
_WHAT = "verdicts on a message file"


class _Entry(Struct, array_like=True):
    """What is kept.

    Attributes:
        looked: places in it are in texts that are called by their number; it lacks ``strings``.
        strings: how many strings each verdict covers, and whether that is exact: numbers of any
            length, as text.
    """

    noted: list[tuple[Question, str]]
    sources: list[SourceText]
    looked: Looked
    strings: list[tuple[str, bool] | None]


class Kept:
    """The verdicts of earlier runs that still hold.

    Attributes:
        read: every file that one that was taken depends on.
    """

    def __init__(self, cache: Cache) -> None:
        self._cache = cache
        self._answers = Answers()
        self.read: set[str] = set()

    def get(self, task: Task) -> Looked | None:
        """What is known of a file held in one way; None when it must be looked at."""
        data = self._cache.get(_key(task))
        if data is None:
            return None
        entry = _decoded(data)
        noted = dict(entry.noted)
        if not self._answers.are(noted):
            return None
        self.read |= files_of(noted)
        sources = {str(number): source for number, source in enumerate(entry.sources)}
        looked = _with_spans(entry.looked, lambda source: sources[source.name])
        kept = map(_as_kept, looked.verdicts, map(_count, entry.strings))
        return structs.replace(looked, verdicts=tuple(kept))

    def put(self, task: Task, looked: Looked, noted: Noted) -> None:
        """Keep what is known now; nothing where a name cannot be written down."""
        numbers: dict[SourceText, int] = {}

        def numbered(source: SourceText) -> SourceText:
            return SourceText(str(numbers.setdefault(source, len(numbers))), "")

        small = _without_counts(_with_spans(looked, numbered))
        counts = [_written(verdict.coverage.strings) for verdict in looked.verdicts]
        entry = _Entry(list(noted.items()), list(numbers), small, counts)
        try:
            data = msgspec.msgpack.encode(entry)
        except UnicodeEncodeError:
            return
        self._cache.put(_key(task), _WHAT, data)


def files_of(noted: Iterable[Question]) -> set[str]:
    """The files whose contents were asked for."""
    return {question.path for question in noted if question.what == "contents"}


def _key(task: Task) -> str:
    file = task.file.encode(errors="surrogateescape")
    wanted = msgspec.json.encode((release(), file, task.asked, task.held))
    return sha256(wanted).hexdigest()


def _decoded(data: bytes) -> _Entry:
    return msgspec.msgpack.decode(data, type=_Entry)


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
