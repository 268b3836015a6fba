"""Can the next serial number of a medicine be guessed? (rule set eu-medicine)"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import LONG, example
from rasterc.checks.model import NO_ADVICE, Finding, Rule, Subject
from rasterc.checks.printed.dates import fields_introduced
from rasterc.checks.printed.leads import is_serial
from rasterc.checks.printed.tokens import Token
from rasterc.profile.model import RuleSet
from rasterc.values.fields.kinds import CounterText, InputText

_CHANCES = 10_000


_PACK = 'clock made in "Europe/Dublin"\nclock expiry = made + 24 months to month end\n'


_PACK += 'input lot matching "[A-HJ-NP-Z][0-9]{{4}}", default "K0417"\n{}\n'


_PACK += 'block {{ line: "LOT " lot " EXP " expiry(MM/yyyy) " SN " serial{} }}'


class SerialGuessable(Rule):
    """A serial that counts, or has too few values."""

    id = "serial-guessable"
    title = "The serial number of a medicine can be guessed"
    rule_set = RuleSet.EU_MEDICINE
    reads_words = True
    rationale = (
        "A serial number is made at random, so that the chance to guess one is below one in ten "
        "thousand. A counter tells the next with certainty, and one that starts again or wraps "
        f"gives a number twice; an input of few values is guessed by trying. {NO_ADVICE}"
    )
    source = (
        "Delegated Regulation (EU) 2016/161, Article 4(c), as the agencies' questions and answers "
        "state it"
    )
    trips = example(
        _PACK.format("counter serial from 1 to 999999", "(000000)"),
        rules=RuleSet.EU_MEDICINE, raster=9, profile=LONG,
    )  # fmt: skip
    passes = example(
        _PACK.format('input serial matching "[0-9]{12}", default "804517263904"', ""),
        rules=RuleSet.EU_MEDICINE, raster=9, profile=LONG,
    )  # fmt: skip

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such serial."""
        for token, words in fields_introduced(subject):
            why = _why(token) if is_serial(words) else ""
            if why:
                yield self.finding(
                    subject, f"the serial number {why}", token.span,
                    'take it from a list made at random: input serial matching "[0-9]{12}"',
                )  # fmt: skip


def _why(token: Token) -> str:
    source = token.field.source if token.field else None
    if isinstance(source, CounterText):
        return f"is counter {source.counter.name}: the next one is known"
    if isinstance(source, InputText):
        few = _values(source)
        if few is not None and few <= _CHANCES:
            return f"has {few} values; a guess is right more often than once in {_CHANCES:,}"
    return ""


def _values(source: InputText) -> int | None:
    """How many texts an input takes, None for more than can be guessed."""
    from rasterc.domain.inputwords import input_words

    if source.rule.input.choices:
        return len(source.rule.input.choices)
    count = input_words(source.rule, map(chr, range(0x20, 0x7F))).count()
    return count.number if count.exact and count.number <= _CHANCES else None
