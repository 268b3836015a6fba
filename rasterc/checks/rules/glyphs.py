"""Can every character be printed, and told from the others?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import FAULTS, Example, Finding, Rule, Subject
from rasterc.checks.printed.alphabets import Alphabet, alphabets
from rasterc.diagnostics import Diagnostic, Severity


class MissingGlyph(Rule):
    """Characters the line's font does not carry, at this instant and through the year."""

    id = "missing-glyph"
    title = "The font does not carry a character"
    can_be_silenced = False
    rationale = (
        "A character without a glyph would print as nothing, and a code would say less. An accent "
        "may come up in one month only (août), so moments of a whole year are looked at."
    )
    source = "common practice, no source"
    trips = Example('message example { raster 5  font upright-5  block { line: "größe" } }')
    passes = Example('message example { raster 7  font upright-7  block { line: "größe" } }')

    def proof(self, subject: Subject) -> tuple[str, ...] | None:
        """Known of all values by their extremes."""
        del subject
        return (FAULTS,)

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every character that cannot be printed at some time of the year."""
        now = set(subject.faults)
        for other in subject.year.prints:
            for fault in dict.fromkeys(other.faults):
                if fault not in now:
                    now.add(fault)
                    yield from self._report(other, fault)

    def of_print(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every character the layout could not print."""
        for fault in subject.faults:
            yield from self._report(subject, fault)

    def _report(self, subject: Subject, fault: Diagnostic) -> Iterator[Finding]:
        if fault.code == self.id:
            yield self.finding(subject, fault.message, fault.span, fault.help)


class LookAlike(Rule):
    """Characters of one alphabet whose glyphs differ in few drops."""

    id = "look-alike"
    title = "Two characters of a field differ in so few drops that lost drops make one the other"
    severity = Severity.WARNING
    rationale = (
        "Now and then a drop is lost or lands beside its place. Characters that can stand at the "
        "same place of a code and differ in one or two drops are then taken for one another."
    )
    source = "limit of two drops: common practice, no source"
    trips = Example(
        'message example { raster 7 font upright-7 input mark matching "[hn]", default "h" '
        'block { line: "A" mark } }'
    )
    passes = Example(trips.message.replace("[hn]", "[hk]"))
    most_drops = 2

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every alphabet with such pairs in the font it is printed in."""
        for alphabet in alphabets(subject):
            yield from self._pairs(subject, alphabet)

    def _pairs(self, subject: Subject, alphabet: Alphabet) -> Iterator[Finding]:
        from rasterc.fonts.audit import look_alikes

        font = subject.fonts.get(alphabet.line.font)
        pairs = look_alikes(font, alphabet.characters, self.most_drops) if font else ()
        if not pairs or font is None:
            return
        listed = ", ".join(f"{p.first} and {p.second} ({p.differing} drops)" for p in pairs[:6])
        yield self.finding(
            subject,
            f"{alphabet.what} can be told apart by few drops only in {font.name}: {listed}",
            alphabet.span,
            f"leave out {' '.join(dict.fromkeys(p.second for p in pairs[:6]))}, or use a font in "
            f"which they differ by more than {self.most_drops} drops",
            measured=pairs[0].differing,
            limit=self.most_drops + 1,
            unit="drops",
        )


class LettersLikeDigits(Rule):
    """O and I among letters that are chosen freely."""

    id = "letters-like-digits"
    title = "An alphabet of a code holds O or I"
    severity = Severity.WARNING
    rationale = (
        "O is read as 0 and I as 1, by people over the telephone and by cameras. Codes whose "
        "letters are chosen freely leave both out."
    )
    source = (
        "33 CFR 174.23(b): I, O and Q are left out of the letters of a number, as they may be "
        "mistaken for numerals; ISMP Medication Safety Alert, 12 January 2000: O/0 and I/1 with "
        "Z/2 and 1/7 are over half of the characters misidentified"
    )
    trips = Example(
        'message example { raster 7 font upright-7 input lot matching "[A-Z]{2}[0-9]{4}", '
        'default "QK0417" block { line: "LOT " lot } }'
    )
    passes = Example(trips.message.replace("[A-Z]", "[A-HJ-NP-Z]"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every alphabet of letters that holds one of them."""
        for alphabet in alphabets(subject):
            found = [char for char in "OI" if char in alphabet.characters]
            if found and alphabet.chosen:
                without = alphabet.without("OI")
                yield self.finding(
                    subject,
                    f"{alphabet.what} can print {' and '.join(found)}, which are read as "
                    f"{' and '.join('0' if char == 'O' else '1' for char in found)}",
                    alphabet.span,
                    f"leave {'them' if len(found) > 1 else 'it'} out: {without}",
                )
