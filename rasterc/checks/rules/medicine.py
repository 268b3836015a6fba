"""Does the code keep the Union's law on medicine packs? (rule set eu-medicine)"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import NO_ADVICE, Example, Finding, Rule, Subject, example_profile
from rasterc.checks.printed.dates import MONTHS, Mark, fields_introduced, marks
from rasterc.checks.printed.elements import longest_input
from rasterc.checks.printed.lead_words import Kind
from rasterc.checks.printed.leads import is_lot, is_serial
from rasterc.checks.rules.size import matrix
from rasterc.diagnostics import Severity
from rasterc.profile.model import RuleSet
from rasterc.values.fields.kinds import InputText

_MEDICINE = example_profile(RuleSet.EU_MEDICINE).replace("drops = 16", "drops = 9")
_PACK = """
message example {{
  raster 9
  font upright-9
  clock made in "Europe/Dublin"
  clock expiry = made + 24 months to month end
  input lot matching "[A-HJ-NP-Z][0-9]{{4}}", default "K0417"
  input serial matching "[0-9]{{{serial}}}", default "{digits}"
  block {{ line: "LOT " lot " {label}" expiry({pattern}) }}
  block gap 4 {{ line: "SN " serial }}
  expect at 2027-11-25 14:05 {{ "LOT K0417 {label}{text}" "SN {digits}" }}
}}
"""
_DELEGATED = "Delegated Regulation (EU) 2016/161"


def _pack(label: str = "EXP ", pattern: str = "MM/yyyy", text: str = "11/2029",
          serial: str = "12", digits: str = "804517263904") -> Example:  # fmt: skip
    message = _PACK.format(label=label, pattern=pattern, text=text, serial=serial, digits=digits)
    return Example(message, _MEDICINE.replace("window_mm = 70", "window_mm = 170")
                   .replace("product_pitch_mm = 90", "product_pitch_mm = 200"))  # fmt: skip


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
        f"Directive 2001/83/EC, Article 54(h) and (m): from memory; {_DELEGATED}, Article 7, "
        "official text"
    )
    trips = _pack(label="")
    passes = _pack()

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


class MedicineExpiry(Rule):
    """Month and year of the expiry date."""

    id = "medicine-expiry"
    title = "The expiry date is not month and year, the year in four digits"
    rule_set = RuleSet.EU_MEDICINE
    reads_words = True
    rationale = (
        "The expiry date has the month, in two digits or at least three letters, and the year in "
        f"four digits, in that order. 11/29 could be a day in November. {NO_ADVICE}"
    )
    source = (
        "Directive 2001/83/EC, Article 54(h): month/year; the agencies' template for pack texts: "
        "four digits of the year; both from memory"
    )
    trips = _pack(pattern="MM/yy", text="11/29")
    passes = _pack()

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every expiry date of another form."""
        for mark in marks(subject):
            if Kind.KEEPING in mark.kinds and not mark.since.endswith(")") and not _is_plain(mark):
                yield self.finding(
                    subject,
                    f'the expiry date prints "{mark.text}" ({mark.pattern})',
                    mark.span,
                    f"print {mark.clock}(MM/yyyy) or {mark.clock}(MMM yyyy)",
                )


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
    source = f"{_DELEGATED}, Article 4(b)(ii), as the agencies' questions and answers state it"
    trips = _pack(serial="12,24")
    passes = _pack()
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


class FineMatrix(Rule):
    """Drops of characters that are read one by one."""

    id = "fine-matrix"
    title = "Characters read one by one have fewer than 7 x 9 drops"
    severity = Severity.WARNING
    rule_set = RuleSet.EU_MEDICINE
    rationale = (
        "Batch and serial are read letter by letter, with no word to guess from. Seven drops wide "
        "and nine high is the least for that; five by seven is enough for digits and capitals that "
        "are read in passing."
    )
    source = "ISO 9241-3: 7 x 9 (width x height) where single characters matter"
    trips = Example(
        _pack().message.replace("raster 9", "raster 7").replace("upright-9", "upright-7"),
        _pack().profile,
    )
    passes = _pack()

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every line of a smaller font."""
        for line, font in subject.lines_to_print:
            columns, rows = matrix(font)
            if columns < 7 or rows < 9:
                yield self.finding(
                    subject,
                    f"characters of {font.name} are {columns} x {rows} drops",
                    line.font_span,
                    "use a font of at least 7 x 9 drops, upright-9 say",
                    measured=rows if rows < 9 else columns,
                    limit=9 if rows < 9 else 7,
                    unit="drops",
                )


def _is_plain(mark: Mark) -> bool:
    month, year = mark.part(MONTHS), mark.part("y")
    if month is None or year is None or len(year.text) != 4 or month.coded:
        return False
    return mark.parts.index(month) < mark.parts.index(year) and len(month.text) >= 2
