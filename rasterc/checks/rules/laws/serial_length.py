"""Characters of a serial number."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import NO_ADVICE, Finding, Rule, Subject
from rasterc.checks.printed.dates import fields_introduced
from rasterc.checks.printed.elements import longest_input
from rasterc.checks.printed.leads import is_serial
from rasterc.checks.rules.laws.medicines import DELEGATED, pack
from rasterc.profile.model import RuleSet
from rasterc.values.fields.kinds import InputText


class SerialLength(Rule):
    """Characters of a serial number."""

    id = "serial-length"
    title = "The serial number can have more than 20 characters"
    rule_set = RuleSet.EU_MEDICINE
    reads_words = True
    rationale = (
        "The serial number of a pack has at most 20 characters; a longer one is refused when the "
        f"pack is verified. {NO_ADVICE}"
    )
    source = f"{DELEGATED}, Article 4(b)(ii), as the agencies' questions and answers state it"
    trips = pack(serial="12,24")
    passes = pack()
    longest = 20

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every input introduced as a serial that can be longer."""
        for token, words in fields_introduced(subject):
            source = token.field.source if token.field else None
            length = len(token.text)
            if isinstance(source, InputText):
                length = longest_input(source.rule)
            if is_serial(words) and length > self.longest:
                yield self.finding(
                    subject,
                    f"the serial number can have {length} characters",
                    token.span,
                    f"limit it to {self.longest}: a pattern that ends in {{1,{self.longest}}}, say",
                    measured=length,
                    limit=self.longest,
                    unit="characters",
                )
