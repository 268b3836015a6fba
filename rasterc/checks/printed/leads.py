"""What the words before a field say that it is."""

from __future__ import annotations

from rasterc.checks.printed.lead_words import Kind, Lead, known_leads, leads_at_end


def is_lot(text: str) -> bool:
    """Whether a text ends in what introduces a lot.

    >>> is_lot("Lot no. "), is_lot("EXP L"), is_lot("TOTAL "), is_lot("B.NO. ")
    (True, True, False, True)
    """
    return _is(text, Kind.LOT)


def is_serial(text: str) -> bool:
    """Whether a text ends in what introduces a serial number."""
    return _is(text, Kind.SERIAL)


def other_form(lead: Lead) -> Lead | None:
    """The lead of the same language for a date with, or without, its day."""
    wanted = Kind.BEST_BEFORE_END if lead.kind is Kind.BEST_BEFORE else Kind.BEST_BEFORE
    alike = [other for other in known_leads()
             if other.language == lead.language and other.kind is wanted]  # fmt: skip
    near = [other for other in alike if other.plain[:1] == lead.plain[:1]]
    return next(iter([*near, *alike]), None)


def _is(text: str, kind: Kind) -> bool:
    return any(lead.kind is kind for lead in leads_at_end(text))
