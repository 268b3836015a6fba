"""Reading counter fields: ``case``, ``case(0000)``, ``case(0000, blanks)``."""

from __future__ import annotations

from rasterc.diagnostics import Diagnostic
from rasterc.source.declarations import Counter
from rasterc.source.message import Message
from rasterc.source.pieces import Argument, Field
from rasterc.values.dates.languages import Names
from rasterc.values.declarations import check_counter
from rasterc.values.fields.kinds import CounterText
from rasterc.values.fields.options import Option
from rasterc.values.fields.read_options import Context, read_options
from rasterc.values.given.counters import text_of, widest

MAX_WIDTH = 64  # characters


def read_counter_field(
    field: Field, message: Message, names: Names, faults: list[Diagnostic]
) -> tuple[CounterText | None, tuple[Option, ...]]:
    """What a counter field prints, None when the counter is in doubt, and its options."""
    counter = None if message.in_doubt(field.name) else message.counters[field.name]
    arguments = list(field.arguments)
    width = _width(arguments[0]) if arguments else None
    if width is not None:
        faults += _check_width(field.name, counter, arguments.pop(0))
    blanks = [argument for argument in arguments if argument.raw == "blanks"]
    if blanks and width is None:
        faults.append(_blanks_without_width(field, blanks[0]))
    rest = [argument for argument in arguments if argument.raw != "blanks"]
    context = Context(message, names.language, also_known=("blanks", "0000"))
    options, found = read_options(rest, context)
    faults += found
    if counter is None:
        return None, options
    return CounterText(counter, width or 0, " " if blanks else counter.digits[0]), options


def _width(argument: Argument) -> int | None:
    """The number of digits an argument asks for; None when it is no number."""
    return len(argument.raw) if argument.raw.isascii() and argument.raw.isdigit() else None


def _check_width(name: str, counter: Counter | None, argument: Argument) -> list[Diagnostic]:
    """What is wrong with a width; of a counter in doubt only its form is looked at."""
    if set(argument.raw) != {"0"} or len(argument.raw) > MAX_WIDTH:
        message = f'"{argument.raw}" is no width: it is written in up to {MAX_WIDTH} zeros'
        help = f"write {name}(0000) for four digits"
        return [Diagnostic("bad-width", message, argument.span, help)]
    if counter is None or check_counter(counter) or widest(counter) <= len(argument.raw):
        return []  # a counter that cannot be used has been reported
    ends = (counter.values[0], counter.values[-1])
    longest = max((text_of(counter, value) for value in ends), key=len)
    message = f"{longest} of counter {counter.name} is wider than {len(argument.raw)} characters"
    help = f"write {counter.name}({'0' * widest(counter)}), or end the counter earlier"
    return [Diagnostic("counter-too-wide", message, argument.span, help)]


def _blanks_without_width(field: Field, argument: Argument) -> Diagnostic:
    message = "`blanks` fills up to a width, and none is given"
    help = f"write {field.name}(0000, blanks)"
    return Diagnostic("bad-option", message, argument.span, help)
