"""Characters of one alphabet whose glyphs differ in few drops."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.checks.printed.alphabets import Alphabet, alphabets
from rasterc.diagnostics import Severity


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
