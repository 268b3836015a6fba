"""Every `require` of the message."""

from __future__ import annotations

import operator
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace

from rasterc.checks.measures import MEASURES, Measure
from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.checks.rules.message.examples import WITH
from rasterc.diagnostics import did_you_mean
from rasterc.extremes.model import Extreme
from rasterc.source.message import Comparison, Require

_COMPARE: dict[Comparison, Callable[[float, float], bool]] = {
    Comparison.AT_MOST: operator.le,
    Comparison.AT_LEAST: operator.ge,
    Comparison.LESS: operator.lt,
    Comparison.MORE: operator.gt,
    Comparison.EQUAL: operator.eq,
}


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
    trips = Example(WITH.format(contract="require length <= 10 mm"))
    passes = Example(WITH.format(contract="require length <= 20 mm"))

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
