"""What each field of a message can print: the rivals a reader has to think of."""

from __future__ import annotations

from collections.abc import Collection

from rasterc.diagnostics import Span
from rasterc.domain.fieldtexts import PLAIN, FieldTexts
from rasterc.domain.texts import Texts, characters
from rasterc.values.plan import Plan


def alphabets(plan: Plan, carried: Collection[str] = PLAIN) -> dict[Span, frozenset[str]]:
    """The characters each field of the plan can print, by the place the field is written.

    They are exact: a field of digits holds digits, one that is always the end of a month holds no
    "4" and "5". Never is one missing; there may be too many where an option picks from, or a table
    is looked up by, texts of several lengths or of several parts that depend on one another.

    Args:
        plan: a plan without faults.
        carried: what an input holds that may be any character, those of its font say.
    """
    return {place: characters(texts) for place, texts in field_texts(plan, carried).items()}


def field_texts(plan: Plan, carried: Collection[str] = PLAIN) -> dict[Span, Texts]:
    """The texts each field of the plan can print, by the place the field is written."""
    texts = FieldTexts(plan, frozenset(carried))
    return {field.span: texts.at(field.span) for field in plan.fields}
