"""Does the message keep what it promises itself: its `require` and `expect`?"""

from __future__ import annotations

import operator
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from itertools import zip_longest

from rasterc.checks.measures import MEASURES, Measure
from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.diagnostics import InputError, Severity, did_you_mean
from rasterc.extremes.model import Extreme
from rasterc.source.message import Comparison, Expect, Require
from rasterc.source.quoting import quoted
from rasterc.values import evaluate_expect

_COMPARE: dict[Comparison, Callable[[float, float], bool]] = {
    Comparison.AT_MOST: operator.le,
    Comparison.AT_LEAST: operator.ge,
    Comparison.LESS: operator.lt,
    Comparison.MORE: operator.gt,
    Comparison.EQUAL: operator.eq,
}

_EXPECT = 'expect at 2027-11-25 14:05 { "LOT 27329" }'
_WITH = """
message example {{
  raster 7
  font upright-7
  clock packed in "Europe/Dublin"
  block {{ line: "LOT " packed(yyDDD) }}
  expect at 2027-11-25 14:05 {{ "LOT 27329" }}
  {contract}
}}
"""


class RequireRule(Rule):
    """Every `require` of the message."""

    id = "require"
    title = "A limit the message sets itself is not kept"
    can_be_silenced = False
    rationale = (
        "`require` writes down what the label must keep, whoever changes it later. A limit that "
        "cannot be measured (a length without a line profile, say) is reported too: it was not "
        "checked."
    )
    source = "the message itself"
    trips = Example(_WITH.format(contract="require length <= 10 mm"))
    passes = Example(_WITH.format(contract="require length <= 20 mm"))

    def of_print(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every limit that is broken, unknown or not measurable."""
        for require in subject.message.requires:
            measure = MEASURES.get(require.measure.text)
            if measure is None:
                yield self.finding(
                    subject,
                    f'"{require.measure.text}" is not something that can be required',
                    require.measure.span,
                    did_you_mean(require.measure.text, MEASURES),
                )
            elif fault := _unit_fault(require, measure):
                span = require.unit.span if require.unit else require.span
                yield self.finding(subject, fault, span, _unit_help(measure))
            else:
                yield from self._compare(subject, require, measure)

    def _compare(self, subject: Subject, require: Require, measure: Measure) -> Iterator[Finding]:
        value = measure.value(subject)
        if value is None:
            needs = "a line profile with this raster" if subject.layout else "a message that fits"
            lacks_profile = subject.layout is not None and subject.profile is None
            remedy = "give --profile FILE" if lacks_profile else "see the other findings"
            yield self.finding(
                subject,
                f"{measure.meaning} cannot be measured without {needs}: not checked",
                require.span,
                remedy,
            )
            return
        limit = _limit(require, measure)
        if not _keeps(value, require.comparison, limit):
            unit = f" {measure.unit}" if measure.unit else ""
            yield self.finding(
                subject,
                f"{measure.meaning} is {value:.4g}{unit}, "
                f"but {require.comparison} {limit:g}{unit} is required",
                require.span,
                f"change the message by {abs(value - limit):.4g}{unit}, or the limit",
                measured=value,
                limit=limit,
                unit=measure.unit,
            )

    def at_bounds(self, subject: Subject, extremes: Mapping[str, Extreme]) -> Iterator[Finding]:
        """Yield a finding for every limit that no value is known to break, and that the bound of
        an extreme breaks."""
        for require in subject.message.requires:
            measure = MEASURES.get(require.measure.text)
            if measure is None or _unit_fault(require, measure):
                continue
            for name in measure.extremes:
                extreme = extremes.get(name)
                if extreme is not None and not extreme.exact:
                    yield from self._unproved(subject, require, measure, extreme)

    def _unproved(
        self, subject: Subject, require: Require, measure: Measure, extreme: Extreme
    ) -> Iterator[Finding]:
        value, limit = measure.convert(subject, int(extreme.value)), _limit(require, measure)
        if value is None or _keeps(value, require.comparison, limit):
            return
        unit = f" {measure.unit}" if measure.unit else ""
        how = "no more" if extreme.name == measure.extremes[1] else "no less"
        finding = self.finding(
            subject,
            f"it cannot be said whether every value keeps {require.comparison} {limit:g}{unit}: of "
            f"the {measure.meaning} it is only known to be {how} than {value:.4g}{unit} "
            f"({extreme.why})",
            require.span,
            "tell what the fields can be more closely, or the limit less",
            measured=value,
            limit=limit,
            unit=measure.unit,
        )
        yield replace(finding, at=extreme.witness.said)


def _limit(require: Require, measure: Measure) -> float:
    """The limit in the first unit of its measure."""
    return require.limit * (measure.units[require.unit.text] if require.unit else 1.0)


def _keeps(value: float, comparison: Comparison, limit: float) -> bool:
    near = abs(value - limit) <= 1e-9 * max(1.0, abs(limit))
    return _COMPARE[comparison](limit if near else value, limit)


class ExpectRule(Rule):
    """Every `expect` of the message."""

    id = "expect"
    title = "An example in the message does not hold"
    can_be_silenced = False
    rationale = (
        "`expect` states what must be printed at a chosen instant, worked out by hand or taken "
        "from the specification. It catches a wrong pattern before the line does."
    )
    source = "the message itself"
    trips = Example(_WITH.format(contract='expect at 2028-02-29 05:59 { "LOT 28061" }'))
    passes = Example(_WITH.format(contract='expect at 2028-02-29 05:59 { "LOT 28060" }'))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every expected line that reads differently."""
        for expect in subject.message.expects:
            try:
                resolved = evaluate_expect(subject.plan, expect)
            except InputError as error:
                for fault in error.diagnostics:
                    yield self.finding(
                        subject, fault.message, fault.span or expect.span, fault.help
                    )
            else:
                yield from self._lines(subject, expect, resolved.lines)

    def _lines(
        self, subject: Subject, expect: Expect, printed: tuple[str, ...]
    ) -> Iterator[Finding]:
        for wanted, got in zip_longest(expect.lines, printed):
            if wanted is None:
                yield self.finding(
                    subject, f'another line is printed: "{got}"', expect.span,
                    "list every line of the message in the example",
                )  # fmt: skip
            elif got is None:
                yield self.finding(
                    subject, "no such line is printed", wanted.span, "take it out of the example"
                )
            elif wanted.text != got:
                yield self.finding(
                    subject, f'expected "{wanted.text}", but "{got}" is printed', wanted.span,
                    "correct the fields of the line, or the example",
                )  # fmt: skip


class MissingExpect(Rule):
    """A message with clocks and no example."""

    id = "missing-expect"
    title = "A message with a date carries no example"
    severity = Severity.NOTE
    rationale = (
        "An `expect` worked out by hand, at a leap day or the turn of a year, is the one check of "
        "a date pattern that does not depend on the pattern itself."
    )
    source = "common practice, no source"
    trips = Example(_WITH.format(contract="").replace(_EXPECT, ""))
    passes = Example(_WITH.format(contract=""))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a note when a printed clock is read and no example is given."""
        if subject.plan.clocks_read() and not subject.message.expects:
            yield self.finding(
                subject,
                "no example says what is printed at a given time",
                subject.message.span,
                f"work one out by hand and add it: {_example(subject)}, if that is right",
            )


def _example(subject: Subject) -> str:
    """An ``expect`` of the subject's print, as it can be written into the message."""
    given = subject.resolved.instant
    when = subject.when
    assert when is not None
    moment = when.isoformat(" ", "seconds" if when.second else "minutes")
    conditions = [f"at {moment[:-6]} {moment[-6:]}"]
    conditions += [f"{name} {value}" for name, value in given.counters.items()]
    conditions += [f"{name} {quoted(text)}" for name, text in given.inputs.items()]
    lines = " ".join(quoted(line) for line in subject.resolved.lines)
    return f"expect {', '.join(conditions)} {{ {lines} }}"


def _unit_fault(require: Require, measure: Measure) -> str:
    if require.unit is None:
        return f"{require.measure.text} needs a unit" if measure.units else ""
    if require.unit.text in measure.units:
        return ""
    if not measure.units:
        return f"{require.measure.text} is a plain number, without a unit"
    return f'"{require.unit.text}" is not a unit of {require.measure.text}'


def _unit_help(measure: Measure) -> str:
    return "units: " + ", ".join(measure.units) if measure.units else "leave the unit out"
