"""Are the letters of a word of one script?"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from unicodedata import name as character_name

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.alphabets import printed_fields
from rasterc.checks.printed.lead_words import leads_at_end
from rasterc.checks.printed.tokens import printed_lines
from rasterc.diagnostics import Span
from rasterc.source.declarations import Table
from rasterc.values.fields.kinds import ClockTable, FieldPlan, InputText
from rasterc.values.fields.options import LookUp

_WORD = re.compile(r"[^\W\d_]+")


_SCRIPTS = ("LATIN", "GREEK", "CYRILLIC", "HEBREW", "ARABIC", "ARMENIAN", "GEORGIAN")


_LIKE_LATIN = str.maketrans(
    "АВЕКМНОРСТУХІЈЅаеорсухіјѕΑΒΕΖΗΙΚΜΝΟΡΤΥΧο", "ABEKMHOPCTYXIJSaeopcyxijsABEZHIKMNOPTYXo"
)
"""Letters that print as Latin ones do: of the confusable characters of UTS #39."""


class MixedScripts(Rule):
    """Letters of two scripts in one word, or a Latin word in letters that only look so."""

    id = "mixed-scripts"
    title = "A word has letters of two scripts"
    rationale = (
        "A Cyrillic O among Latin letters looks right on the pack and in the file, and no search, "
        "camera or database finds the lot again. Texts, choices, tables, shift labels and what an "
        "input lets pass are looked at."
    )
    source = "UTS #39, mixed-script detection and confusable characters"
    trips = example('clock packed in "UTC"\nblock { line: "L\\u{41E}T " packed(yyDDD) }')
    passes = example('clock packed in "UTC"\nblock { line: "LOT " packed(yyDDD) }')

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such word."""
        reported: set[str] = set()
        for text, span, alone in _texts(subject):
            words = [text] if alone else _WORD.findall(text)
            for word in words:
                why = _mixed(word) or ("" if alone else _disguised(word))
                if why and word not in reported:
                    reported.add(word)
                    yield self.finding(
                        subject, f'"{word}" {why}', span,
                        "type it again in letters of one script",
                    )  # fmt: skip


def _texts(subject: Subject) -> Iterator[tuple[str, Span, bool]]:
    """Literal texts and what fields choose from; of an alphabet all letters together."""
    for line in printed_lines(subject):
        literal = "".join(t.text if t.field is None else " " for t in line.tokens)
        yield literal, line.line.span, False
    for _, field in printed_fields(subject):
        yield from _of_field(field)


def _of_field(field: FieldPlan) -> Iterator[tuple[str, Span, bool]]:
    source = field.source
    if isinstance(source, InputText):
        declared = source.rule.input
        if declared.pattern:
            yield declared.pattern, declared.pattern_span or declared.span, True
        for text in (*declared.choices, declared.default or ""):
            yield text, declared.span, False
    tables: list[Table] = [o.table for o in field.options if isinstance(o, LookUp)]
    if isinstance(source, ClockTable):
        tables.append(source.table)
    for table in tables:
        rows = list(table.rows.values())
        yield "".join(rows), table.span, all(len(row) == 1 for row in rows)


@cache
def script_of(char: str) -> str:
    """The script of a letter, "" for other characters and letters of all scripts."""
    if not char.isalpha():
        return ""
    first = character_name(char, "").partition(" ")[0]
    return first if first in _SCRIPTS else ""


def _mixed(word: str) -> str:
    found: dict[str, str] = {}
    for char in word:
        if script := script_of(char):
            found.setdefault(script, char)
    if len(found) < 2:
        return ""
    return "has " + " and ".join(
        f'{s.capitalize()} "{c}" (U+{ord(c):04X})' for s, c in found.items()
    )


def _disguised(word: str) -> str:
    """Whether a word is a known lead in Latin letters, and written in others that look so."""
    latin = word.translate(_LIKE_LATIN)
    if latin == word or not latin.isascii() or not leads_at_end(latin) or leads_at_end(word):
        return ""
    return f'looks as "{latin}" does, in letters of another script'
