"""From a message to its plan, and to its texts at an instant."""

from __future__ import annotations

from msgspec import structs

from rasterc.diagnostics import Diagnostic, InputError, fail_on_errors
from rasterc.source.message import Block, Message, Picture
from rasterc.values.dates.languages import Names, find_names
from rasterc.values.declarations import (
    check_counter,
    check_restart,
    limited,
    prepare_clocks,
    prepare_inputs,
    prepare_shifts,
)
from rasterc.values.fields.kinds import fields_read
from rasterc.values.fields.read import FieldReader
from rasterc.values.model import Instant, ResolvedMessage
from rasterc.values.plan import BlockPlan, LinePlan, Plan
from rasterc.values.rows.cases import Cases
from rasterc.values.rows.kinds import kinds_of, language_faults, rowless
from rasterc.values.rows.written import depends_on, written

_FALLBACK = "en"  # names to go on with when the message's language is unknown


def prepare(message: Message) -> tuple[Plan, list[Diagnostic]]:
    """The plan of a message, and everything wrong with the message in the order of its text.

    A plan with faults is returned too, for looking at; it refuses to resolve. Every declaration
    is read, whether or not a line uses it.
    """
    if not depends_on(message):
        return _plain(message)
    kinds = kinds_of(message)
    cells = {column: text for some in kinds for k in some[:1] for column, text in k.cells.items()}
    plan, found = _plain(written(message, cells))
    faults = [*found, *language_faults(message), *rowless(message)]
    if faults or not all(kinds):
        return structs.replace(plan, message=message, faults=tuple(faults)), faults
    cases = Cases(message, kinds, lambda case: structs.replace(_plain(case)[0], whole=whole))
    whole = structs.replace(plan, message=message, cases=cases)
    return whole, faults


def _plain(message: Message) -> tuple[Plan, list[Diagnostic]]:
    """The same of a message whose dates depend on no row."""
    faults: list[Diagnostic] = []
    names = _names(message, faults)
    clocks = prepare_clocks(message, faults)
    schedules = prepare_shifts(message, clocks, faults)
    clocks, inputs = limited(message, clocks, prepare_inputs(message, faults), faults)
    for counter in message.counters.values():
        faults += [*check_counter(counter), *check_restart(counter, clocks)]
    reader = FieldReader(message, clocks, inputs, names, faults)
    for name in (*message.texts, *message.checks):
        reader.named(name)
    blocks = tuple(_block(block, reader) for block in message.blocks)
    fields = tuple(fields_read(piece for line in _lines(blocks) for piece in line.pieces))
    in_order = sorted(dict.fromkeys(faults), key=_place)
    plan = Plan(message, clocks, schedules, inputs, blocks, fields, tuple(in_order))
    return plan, in_order


def resolve(message: Message, instant: Instant) -> ResolvedMessage:
    """The texts of a message at one instant; see `Plan.resolve`.

    To resolve a message at many instants, `prepare` it once.

    Raises:
        InputError: with every fault of the message, or else of the instant.
    """
    plan, faults = prepare(message)
    fail_on_errors(faults)
    return plan.resolve(instant)


def _names(message: Message, faults: list[Diagnostic]) -> Names:
    try:
        return find_names(message.language, message.language_span or message.span)
    except InputError as error:
        faults += error.diagnostics
        return find_names(_FALLBACK, None)


def _block(block: Block, reader: FieldReader) -> BlockPlan:
    if isinstance(block.content, Picture):
        return BlockPlan(block, block.content)
    return BlockPlan(
        block, tuple(LinePlan(line, reader.pieces(line.pieces)) for line in block.content)
    )


def _lines(blocks: tuple[BlockPlan, ...]) -> list[LinePlan]:
    return [line for b in blocks if not isinstance(b.content, Picture) for line in b.content]


def _place(fault: Diagnostic) -> tuple[str, int]:
    return (fault.span.source.name, fault.span.start) if fault.span else ("", -1)
