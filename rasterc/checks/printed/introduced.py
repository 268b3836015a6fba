"""The words that introduce a field, found as a person reads the pack."""

from __future__ import annotations

from dataclasses import dataclass

from rasterc.checks.printed.lead_words import is_lead, leads_at_end, plain_words


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What stands around a line.

    ``above`` are the lines above it in its block, from the top; ``left`` those of the block before,
    and ``level`` that of them that stands at its side, "" where none does.
    """

    above: tuple[str, ...] = ()
    left: tuple[str, ...] = ()
    level: str = ""


ALONE = Surroundings()
"""A line that is alone."""


def introduction(around: Surroundings, before: str, since: str) -> str:
    """The text that ends in the lead of a field, "" when it has none.

    Args:
        around: what stands around its line.
        before: all that stands before it on its line.
        since: the same from the end of the date or field before it.

    A lead may stand on its line, begin on the line above, or stand there, at its side in the block
    before, or over the whole of that block.

    >>> introduction(Surroundings(above=("BEST",)), "BEFORE ", "BEFORE ")
    'BEST BEFORE '
    >>> introduction(Surroundings(left=("PACKED", "USE BY"), level="USE BY"), "", "")
    'USE BY'
    """
    if leads_at_end(since):
        return _from_above(around, since) if since == before else since
    if since != before:
        return ""
    if any(char.isalnum() for char in since):
        return next((text for text in _joined(around, since) if is_lead(text)), "")
    above = [" ".join(around.above[first:]) for first in reversed(range(len(around.above)))]
    if found := next((text for text in above if is_lead(text)), ""):
        return found
    return next((text for text in (around.level, " ".join(around.left)) if leads_at_end(text)), "")


def _joined(around: Surroundings, own: str) -> list[str]:
    texts = [" ".join((*around.above[first:], own)) for first in range(len(around.above))]
    return [*texts, f"{around.level} {own}", f"{' '.join(around.left)} {own}"]


def _from_above(around: Surroundings, own: str) -> str:
    """What is before a field on its line, and the line above if both together are one lead."""
    whole = f"{around.above[-1]} {own}" if around.above else own
    used = max((len(lead.plain) for lead in leads_at_end(whole)), default=0)
    return whole if used > len(plain_words(own)) else own
