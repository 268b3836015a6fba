"""Are the words and the names of a date of one language?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.dates import Mark, marks
from rasterc.checks.printed.lead_words import leads_within
from rasterc.checks.printed.tokens import Token
from rasterc.diagnostics import Severity
from rasterc.values.dates.languages import LANGUAGES, find_names
from rasterc.values.fields.kinds import ClockText

_BEST = 'clock packed in "Europe/Berlin"\nclock best = packed + 60 days\n'


_LINE = 'block {{ line: "ZU VERBRAUCHEN BIS " best(dd. MMM yyyy, upper, in {}) }}'


_NAMED = 3  # letters of a pattern from which on it is a name


_KINDS = {"M": "months", "L": "months", "E": "days", "c": "days"}


class MixedLanguages(Rule):
    """Words of one language before names of another, or names of two in one date."""

    id = "mixed-languages"
    title = "The words before a date and its names are of different languages"
    severity = Severity.WARNING
    reads_words = True
    rationale = (
        "MINDESTENS HALTBAR BIS 24. OCT comes of a message copied from another country, or of a "
        "`language` that was forgotten: names are English when nothing else is said. Words of "
        "several languages before one date are left alone when the names are of one of them."
    )
    source = "the names are those of the Unicode CLDR; the words stand in lead_words.csv"
    trips = example(_BEST + _LINE.format("en"))
    passes = example(_BEST + _LINE.format("de"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such date."""
        for mark in marks(subject):
            named = [part for part in mark.parts if _names(part)]
            spoken = _languages(mark)
            foreign = [p for p in named if spoken and not _is_in(p, spoken)]
            apart = [p for p in named if not _is_in(p, {_language(named[0])})]
            for part in (foreign or apart)[:1]:
                of = ", ".join(sorted(spoken)) if foreign else _language(named[0])
                yield self.finding(
                    subject,
                    f'"{mark.label} {mark.text}" has names of {_language(part)} beside words of '
                    f"{of}" if foreign else
                    f'"{mark.text}" has names of {_language(part)} and of {of}',
                    mark.span,
                    _remedy(mark, spoken or {_language(named[0])}),
                )  # fmt: skip


def _languages(mark: Mark) -> set[str]:
    """The languages that the words before it are of; empty when that is not known."""
    known = [lead.language for lead in mark.leads]
    if not known or "" in known:
        return set()
    return {lead.language for lead in leads_within(mark.label) if lead.language} | set(known)


def _names(part: Token) -> bool:
    return part.letter in _KINDS and part.count >= _NAMED and not part.is_number and not part.coded


def _language(part: Token) -> str:
    source = part.field.source if part.field else None
    return source.pattern.language if isinstance(source, ClockText) else ""


def _is_in(part: Token, languages: set[str]) -> bool:
    """Whether one of the languages has exactly the same names."""
    own = _language(part)
    return own in languages or any(
        other in LANGUAGES and _texts(part, other) == _texts(part, own) for other in languages
    )


def _texts(part: Token, language: str) -> list[str]:
    form = "stand-alone" if part.letter in "Lc" else "format"
    width = {3: "abbreviated", 4: "wide", 5: "narrow"}.get(part.count, "abbreviated")
    names = getattr(find_names(language, None), _KINDS[part.letter])
    return [name.upper().replace(".", "") for name in names[f"{form} {width}"]]


def _remedy(mark: Mark, languages: set[str]) -> str:
    shipped = sorted(languages.intersection(LANGUAGES))
    if not shipped:
        return f"print the month in figures: {mark.clock}(dd.MM.yyyy)"
    return f"write `language {shipped[0]}` in the message, or in {shipped[0]} in the field"
