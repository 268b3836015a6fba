"""The messages of two files, compared pair by pair."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from rasterc.cli.common import instant_of, settable, split_settings, unknown_settings
from rasterc.cli.progress import working
from rasterc.diagnostics import Diagnostic, InputError, fail_on_errors

if TYPE_CHECKING:
    from rasterc.code import Code
    from rasterc.tracing.differences import DiffResult
    from rasterc.tracing.given import Given


@dataclass(frozen=True, slots=True)
class Pair:
    """Two versions of a message, the values they were compared at, and what differs."""

    old: Code
    new: Code
    given: tuple[Given, Given]
    result: DiffResult

    @property
    def name(self) -> str:
        """The message's name, or both when it was renamed."""
        old, new = self.old.message.name, self.new.message.name
        return old if old == new else f"{old} -> {new}"


@dataclass(frozen=True, slots=True)
class Comparison:
    """All messages of two files: those in both, and the names of those in one only."""

    pairs: tuple[Pair, ...]
    removed: tuple[str, ...]
    added: tuple[str, ...]

    @property
    def same(self) -> bool:
        """Whether everything prints the same."""
        return not (self.removed or self.added) and all(pair.result.same for pair in self.pairs)


def codes_of(
    files: tuple[Path, Path], fonts: Sequence[Path], message: str | None
) -> list[dict[str, Code]]:
    """The messages of both files, by name; the faults of both are reported together."""
    from rasterc.api import load, load_all

    found: list[dict[str, Code]] = []
    faults: list[Diagnostic] = []
    for file in files:
        try:
            if message is None:
                found.append(load_all(file, fonts=fonts))
            else:
                found.append({message: load(file, message, fonts=fonts)})
        except InputError as error:
            faults += error.diagnostics
    if faults:
        raise InputError(dict.fromkeys(faults))
    return found


def compare(
    codes: Sequence[Mapping[str, Code]], settings: Sequence[str], start: datetime, years: int
) -> Comparison:
    """The messages of both files held against each other over some years from a start."""
    old, new = codes
    pairs, faults = split_settings(settings)
    known = settable(code.message for code in (*old.values(), *new.values()))
    faults += unknown_settings(pairs, known)
    fail_on_errors(faults)  # before the work
    found: list[Pair] = []
    for before, after in matched(old, new):
        try:
            found.append(_pair(before, after, pairs, start, years))
        except InputError as error:
            faults += error.diagnostics
    if faults:
        raise InputError(dict.fromkeys(faults))
    paired = {code.message.name for pair in found for code in (pair.old, pair.new)}
    removed = tuple(name for name in old if name not in paired)
    return Comparison(tuple(found), removed, tuple(name for name in new if name not in paired))


def matched(old: Mapping[str, Code], new: Mapping[str, Code]) -> list[tuple[Code, Code]]:
    """Messages of one name; the only message of each file even when it was renamed."""
    if len(old) == len(new) == 1:
        return list(zip(old.values(), new.values(), strict=True))
    return [(code, new[name]) for name, code in old.items() if name in new]


def _pair(old: Code, new: Code, pairs: Mapping[str, str], start: datetime, years: int) -> Pair:
    from rasterc.tracing.alike import shared_given
    from rasterc.tracing.diff import diff
    from rasterc.tracing.differences import Side
    from rasterc.tracing.given import Given

    given = [
        Given(instant.counters, instant.inputs)
        for instant in (instant_of(code.message, start, pairs) for code in (old, new))
    ]
    before, after = shared_given(old.plan, new.plan, given[0], given[1])
    sides = Side(old.plan, before, old.fonts), Side(new.plan, after, new.fonts)
    with working() as doing:
        result = diff(*sides, start, years, doing)
    return Pair(old, new, (before, after), result)
