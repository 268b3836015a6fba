"""Expiry and batch, each with its words."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import NO_ADVICE, Finding, Rule, Subject
from rasterc.checks.printed.dates import fields_introduced, marks
from rasterc.checks.printed.lead_words import Kind
from rasterc.checks.printed.leads import is_lot
from rasterc.checks.rules.laws.medicines import DELEGATED, pack
from rasterc.profile.model import RuleSet


class MedicineMarks(Rule):
    """Expiry and batch, each with its words."""

    id = "medicine-marks"
    title = "The pack lacks its expiry date or its batch"
    rule_set = RuleSet.EU_MEDICINE
    rationale = (
        "A pack carries its expiry date and its batch in plain text, introduced by EXP and LOT, "
        "BATCH or the application identifiers (17) and (10). The delegated regulation asks for the "
        f"product code and the serial in plain text; batch and expiry come of this one. {NO_ADVICE}"
    )
    source = (
        f"Directive 2001/83/EC, Article 54(h) and (m): from memory; {DELEGATED}, Article 7, "
        "official text"
    )
    trips = pack(label="")
    passes = pack()

    def of_print(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for each of the two that is missing.

        Looked at in each print: what a table gives may stand in the place of a word.
        """
        if not any(Kind.KEEPING in mark.kinds for mark in marks(subject)):
            yield self.finding(
                subject, "no date is introduced as the expiry", subject.message.span,
                'write "EXP " before it: "EXP " expiry(MM/yyyy)',
            )  # fmt: skip
        lots = any(is_lot(words) for _, words in fields_introduced(subject))
        if not lots and not any(Kind.LOT in mark.kinds for mark in marks(subject)):
            yield self.finding(
                subject, "nothing is introduced as the batch", subject.message.span,
                'write "LOT " before it: "LOT " lot',
            )  # fmt: skip
