"""The shortest time after which a code, or some of its fields, can print the same text again.

What counts as a repeat: the text stops being printable (its *run* ends) and becomes printable
again. The gap is the time from the end of a run to the start of the next run of the same text.
Printing twice within one run, twice in the same minute of a code with the minute, is none.

Counters: any number may be printed at any time, but a counter that stops at its end prints none
twice until it restarts, which ends a run. One that wraps, or of which only a part is printed, may
print the same again within a run; how many prints that takes is told apart, since how fast they
come is not known. Inputs may be given again at any time.

Texts are compared as a reader sees them, also where it cannot be told which field a character
belongs to. Every example was resolved at both its moments and prints the same.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta

from rasterc.diagnostics import Diagnostic, InputError, did_you_mean, fail_on_errors
from rasterc.domain.atoms import Atom, Kind, Literal, take_apart
from rasterc.domain.horizon import Horizon, horizon
from rasterc.domain.progress import Progress, quiet
from rasterc.extremes.model import witness_at
from rasterc.extremes.model_repeats import Found, RepeatsReport
from rasterc.extremes.printing import Printing
from rasterc.extremes.recurrence import shortest
from rasterc.extremes.repeated_rows import repeats_of_cases
from rasterc.extremes.rounds import round_of
from rasterc.extremes.touching import texts_read
from rasterc.values import Plan

DEFAULT_YEARS = 120  # more than a hundred: two digits of a year come again


def repeats(
    plan: Plan,
    start: date | datetime,
    years: int = DEFAULT_YEARS,
    *,
    fields: Sequence[str] = (),
    progress: Progress = quiet,
) -> RepeatsReport:
    """The shortest time after which the whole code, or the fields of these names, print again.

    Args:
        plan: the message.
        start: the first minute, as for `extremes`.
        years: calendar years in which both runs lie.
        fields: names of fields or texts in its lines; none for the whole code. Of fields that
            stand side by side the joined text is looked at.
        progress: told what is done when that takes long.

    Raises:
        InputError: the message has faults, a name is not printed, or the years cannot be looked at.
    """
    return repeats_within(plan, horizon(plan, start, years), fields, progress)


def repeats_within(
    plan: Plan, stretch: Horizon, fields: Sequence[str] = (), progress: Progress = quiet
) -> RepeatsReport:
    """The same within any stretch of whole minutes; see `repeats`."""
    fail_on_errors(plan.faults)
    if plan.cases is None:
        return _of_plain(plan, stretch, fields, progress)
    return repeats_of_cases(
        plan, fields, stretch, lambda case: _of_plain(case, stretch, fields, progress)
    )


def _of_plain(
    plan: Plan, stretch: Horizon, fields: Sequence[str], progress: Progress
) -> RepeatsReport:
    """The repeats of a message whose dates depend on no row of a table."""
    atoms = take_apart(plan)
    _check_names(fields, atoms)
    printing = Printing(plan, stretch, texts_read(atoms, fields), progress)
    found = shortest(printing)
    rounds = [
        round_of(plan, plan.message.counters[v.name], printing.varying, domain.words)
        for v, domain in printing.domains.items()
        if v.kind is Kind.COUNTER
    ]
    report = RepeatsReport(
        plan.message.name,
        tuple(fields),
        stretch.start,
        stretch.end,
        None,
        never=found.never,
        exact=found.exact,
        no_sooner=None if found.no_sooner is None else timedelta(minutes=found.no_sooner),
        why="; ".join(found.why),
        rounds=tuple(each for each in rounds if each is not None),
        always=found.always,
    )
    return _with_example(report, plan, found)


def _check_names(fields: Sequence[str], atoms: Sequence[Atom]) -> None:
    known = {name for atom in atoms if not isinstance(atom, Literal) for name in atom.names}
    faults = [
        Diagnostic(
            "unknown-field",
            f'no field "{name}" is printed that could vary',
            help=did_you_mean(name, known),
        )
        for name in fields
        if name not in known
    ]
    if faults:
        raise InputError(faults)


def _with_example(report: RepeatsReport, plan: Plan, found: Found) -> RepeatsReport:
    """The report with what was found to print again."""
    if found.example is None or (found.repeat is None and not found.always):
        return report
    first, last, again = (witness_at(plan, instant) for instant in found.example)
    gap = timedelta(0)
    if found.repeat is not None:
        gap = timedelta(minutes=found.repeat.gap, seconds=59 if found.seconds else 0)
    return replace(report, gap=gap, first=first, last=last, again=again)
