"""What has a text in every print: nothing has to be worked out of it when none of it was read."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rasterc.domain.anytime import AnytimeTexts
from rasterc.domain.atoms import lines_of
from rasterc.domain.texts import characters
from rasterc.domain.timeline import Timeline
from rasterc.tracing.templates import may_fail
from rasterc.values.fields.kinds import CheckText, ClockText, FieldPlan, JoinedText, Piece
from rasterc.values.fields.options import Option
from rasterc.values.model import Run
from rasterc.values.plan import Plan


def always_printed(pieces: Iterable[Piece], line: Timeline) -> bool:
    """Whether pieces are but literal text and clocks that print throughout a timeline."""
    return all(isinstance(piece, Run) or _clock_prints(piece, line) for piece in pieces)


def _clock_prints(field: FieldPlan, line: Timeline) -> bool:
    if not isinstance(field.source, ClockText) or may_fail(field.options):
        return False
    clock = line.clocks.get(field.source.clock)  # of a typed date none
    return clock is not None and bool(clock.valid.all())


def is_sure(plan: Plan, check: FieldPlan) -> bool:
    """Whether a check field has a text in every print.

    What it checks must be printed too, so that it has a text, and hold no foreign characters.
    """
    assert isinstance(check.source, CheckText)
    pieces = check.source.pieces
    texts = AnytimeTexts(plan).pieces(pieces)
    alphabet = check.source.algorithm.alphabet
    return (
        not may_fail(check.options)
        and any(part.shortest for part in texts)
        and all(part.chars for part in texts if part.longest)
        and characters(texts) <= frozenset(alphabet)
        and _are_printed(pieces, plan)
    )


def _are_printed(pieces: Iterable[Piece], plan: Plan) -> bool:
    printed = [shown for line in lines_of(plan) for shown in _shown(line.pieces)]
    return all(shown in printed for shown in _shown(pieces))


def _shown(pieces: Iterable[Piece]) -> Iterator[tuple[object, tuple[Option, ...]]]:
    """What the fields among pieces show, those of named texts too."""
    for piece in pieces:
        if isinstance(piece, Run):
            continue
        source = piece.source
        if isinstance(source, JoinedText) and not may_fail(piece.options):
            yield from _shown(source.pieces)
        else:
            yield source, piece.options
