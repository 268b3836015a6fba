"""Examples a message carries."""

from datetime import datetime

import pytest

from rasterc.diagnostics import InputError
from rasterc.source.declarations import DIGITS_36
from rasterc.source.message import Expect
from rasterc.source.pieces import Word
from rasterc.values import evaluate_expect, prepare


def plan_of(make):
    message = make.message(
        "packed(HH:mm) case(0000) lot",
        clocks=[make.clock()],
        counters=[make.counter("case", 1, 36**3, digits=DIGITS_36)],
        inputs=[make.input("lot", "[A-Z0-9]+")],
    )
    return prepare(message)[0]


def expect(make, at, **values):
    words = {
        name: Word(text.strip('"'), make.span(text), text.startswith('"'))
        for name, text in values.items()
    }
    return Expect(at, words, (), make.span("expect ..."), make.span("at 2028"))


AT = datetime(2028, 2, 29, 5, 59)


@pytest.mark.parametrize(
    ("case", "printed"), [("42", "0016"), ('"16"', "0016"), ('"0016"', "0016"), ("1", "0001")]
)
def test_numbers_are_values_and_quoted_texts_are_digits(make, case, printed):
    resolved = evaluate_expect(plan_of(make), expect(make, AT, case=case, lot="12"))
    assert resolved.lines == (f"05:59{printed}12",)


@pytest.mark.parametrize(
    ("at", "values", "code", "place"),
    [
        (AT, {"case": "4.5", "lot": '"A"'}, "bad-counter-value", "4.5"),
        (AT, {"case": '"a"', "lot": '"A"'}, "bad-counter-value", '"a"'),
        (AT, {"case": "0", "lot": '"A"'}, "counter-out-of-reach", "0"),
        (AT, {"case": "1", "lot": '"-"'}, "input-mismatch", '"-"'),
        (AT, {"cas": "1", "lot": '"A"'}, "unknown-name", "1"),
        (None, {"lot": '"A"'}, "time-missing", "at 2028"),
        (datetime(2027, 3, 28, 1, 30), {"lot": '"A"'}, "no-such-time", "at 2028"),
    ],
)
def test_faults_point_at_the_conditions(make, at, values, code, place):
    with pytest.raises(InputError) as caught:
        evaluate_expect(plan_of(make), expect(make, at, **values))
    assert [(d.code, d.span.text) for d in caught.value.diagnostics] == [(code, place)]
