"""Are the words before dates and lots spelt as they are known?"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.dates import fields_introduced, marks
from rasterc.checks.printed.lead_words import Lead, known_leads, leads_at_end, plain_words
from rasterc.diagnostics import Severity, Span

_LIKE_LETTERS = str.maketrans("01358", "OIESB")


_SHORT, _LONG = 7, 12  # letters


_SURE = ("EXP", "LOT")  # among words of three letters


_ENDS = 'clock packed in "UTC"\nclock ends = packed + 9 days\n'


class LeadMisspelt(Rule):
    """Words that are a slip of the finger away from a known lead."""

    id = "lead-misspelt"
    title = "The words before a date or lot are nearly known ones"
    severity = Severity.WARNING
    reads_words = True
    rationale = (
        "UES BY and BEST BEFOR introduce nothing, and every pack carries them until somebody reads "
        "one. Words are held against the leads of 30 languages: one letter wrong, missing, too "
        "many or changed over (two in long ones; in short ones letters changed over only). A word "
        "that is right as it stands can be accepted with a silence."
    )
    source = "the known words stand in lead_words.csv, each with where it was read"
    trips = example(_ENDS + 'block { line: "UES BY " ends(dd MMM yyyy, upper) }')
    passes = example(_ENDS + 'block { line: "USE BY " ends(dd MMM yyyy, upper) }')

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such text."""
        for words, span in _texts(subject):
            meant = nearest_lead(words)
            if meant is not None:
                yield self.finding(
                    subject,
                    f'"{words.strip()}" is nearly "{meant.words}"'
                    + (f" ({meant.language})" if meant.language else ""),
                    span,
                    f'write "{meant.words.upper()}", or silence lead-misspelt where it is right',
                )


def _texts(subject: Subject) -> Iterator[tuple[str, Span]]:
    for mark in marks(subject):
        if not mark.leads:
            around = mark.around.surroundings
            yield mark.since, mark.span
            if mark.since == mark.before and mark.above:
                yield f"{mark.above} {mark.since}", mark.span
            if mark.since == mark.before and around.level:
                yield f"{around.level} {mark.since}", mark.span
    for token, words in fields_introduced(subject):
        if not leads_at_end(words):
            yield words, token.span


@cache
def nearest_lead(text: str) -> Lead | None:
    """The lead that the end of a text is nearly, None when it is one, or far from all.

    >>> nearest_lead("BEST BEFOR ").words, nearest_lead("RIPE "), nearest_lead("USE BY ")
    ('Best before', None, None)
    """
    if leads_at_end(text):
        return None
    words = plain_words(text)
    typed = " ".join(w if w.isdigit() else w.translate(_LIKE_LETTERS) for w in words)
    if typed != " ".join(words) and leads_at_end(typed):
        return leads_at_end(typed)[0]
    for lead in known_leads():
        wanted = " ".join(lead.plain)
        counts = {len(lead.plain), len(lead.plain) - 1, len(lead.plain) + 1} - {0}
        if any(_is_slip(" ".join(words[-n:]), wanted) for n in counts if n <= len(words)):
            return lead
    return None


def _is_slip(text: str, wanted: str) -> bool:
    letters = len(wanted.replace(" ", ""))
    if abs(len(text) - len(wanted)) > 2 or (letters < 4 and wanted not in _SURE):
        return False
    if " " in wanted and letters < _SHORT - 2:
        return False
    if len(wanted) < _SHORT and " " not in wanted:
        return text != wanted and sorted(text) == sorted(wanted) and _distance(text, wanted) == 1
    return 0 < _distance(text, wanted) <= (2 if len(wanted) >= _LONG else 1)


def _distance(one: str, other: str) -> int:
    """Letters put in, left out, replaced, or changed over with their neighbour.

    >>> _distance("UES", "USE"), _distance("BEFOR", "BEFORE"), _distance("EXP", "LOT")
    (1, 1, 3)
    """
    rows = [list(range(len(other) + 1))]
    for i, char in enumerate(one, 1):
        row = [i]
        for j, wanted in enumerate(other, 1):
            best = min(rows[-1][j] + 1, row[-1] + 1, rows[-1][j - 1] + (char != wanted))
            swapped = i > 1 and j > 1 and char == other[j - 2] and one[i - 2] == wanted
            row.append(min(best, rows[-2][j - 2] + 1) if swapped else best)
        rows.append(row)
    return rows[-1][-1]
