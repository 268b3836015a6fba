"""Names and kinds: from the syntax tree to typed messages."""

from __future__ import annotations

from collections import ChainMap
from collections.abc import Mapping, Sequence

from msgspec import Struct, structs

from rasterc.diagnostics import InputError, Span, did_you_mean
from rasterc.source.meaning.declared import Declared, T, by_name, declare, printed_columns
from rasterc.source.meaning.head import DEFAULT_LANGUAGE, MAX_RASTER, read_head
from rasterc.source.meaning.lines import Defaults, block
from rasterc.source.meaning.products import with_keys
from rasterc.source.meaning.promises import expect, require, silence
from rasterc.source.meaning.references import names_in, reached
from rasterc.source.meaning.scope import Problems, Scope
from rasterc.source.message import (
    Block,
    Expect,
    Gaps,
    Message,
    Require,
    Silence,
)
from rasterc.source.parse import Parsed
from rasterc.source.products.sheet import Sheet
from rasterc.source.tree import syntax as s


class _Shared(Struct, frozen=True):
    """What all messages of a file can name: its own declarations and those it uses."""

    nodes: Mapping[str, s.Declaration]
    declared: Declared
    scope: Scope


def analyse(
    parsed: Parsed,
    used: Sequence[Parsed],
    folder: str,
    problems: Problems,
    complete: bool = True,
    sheets: Mapping[Span, Sheet] | None = None,
) -> list[Message]:
    """The messages of a file, in order.

    Args:
        parsed: the file.
        used: the files whose declarations it uses, each once.
        folder: where relative paths in its messages start.
        problems: takes what is wrong. When there is anything, the messages are of use only to look
            for more mistakes: their gaps say what is not known of them.
        complete: whether every file it uses could be read.
        sheets: the files of product tables, by the place of their declaration.
    """
    shared = _shared(parsed, used, problems, complete, sheets or {})
    messages: list[Message] = []
    first: dict[str, s.MessageNode] = {}
    for node in parsed.file.messages:
        if problems.full:
            break
        with problems.catching():
            _refuse_second(node, first.setdefault(node.name.text, node))
        messages.append(_message(node, shared, folder))
    return messages


def _shared(
    parsed: Parsed,
    used: Sequence[Parsed],
    problems: Problems,
    complete: bool,
    sheets: Mapping[Span, Sheet],
) -> _Shared:
    whole = complete and parsed.whole and all(other.whole for other in used)
    files = (*used, parsed)
    complete = complete and not any(p.nameless for p in files)
    lost = {name: kind for p in files for name, kind in p.lost.items()}
    empty = Scope({}, problems)
    nodes, again = by_name((node for p in files for node in p.file.declarations), {}, empty)
    scope = Scope(nodes, problems, lost, whole, _read_clocks(nodes), complete, sheets)
    return _Shared(nodes, declare(nodes, again, scope), scope)


def _read_clocks(nodes: Mapping[str, s.Declaration]) -> tuple[str, ...]:
    return tuple(name for name, node in nodes.items() if isinstance(node, s.ClockRead))


def _refuse_second(node: s.MessageNode, other: s.MessageNode) -> None:
    if other is not node:
        raise InputError.one(
            "duplicate-name",
            f'there are two messages "{node.name.text}"',
            node.name.span,
            f"the other one is in line {other.span.line}; rename one of them",
        )


def _message(node: s.MessageNode, shared: _Shared, folder: str) -> Message:
    problems = shared.scope.problems
    own, again = by_name(s.declarations_in(node), shared.nodes, shared.scope)
    scope = structs.replace(
        shared.scope,
        nodes=ChainMap(own, shared.nodes),  # type: ignore[arg-type]
        read_clocks=(*shared.scope.read_clocks, *_read_clocks(own)),
    )
    head = read_head(node, scope)
    declared = declare(own, again, scope)
    blocks = _blocks(node, head.defaults, scope)
    everything = _everything(node, own, declared, shared.declared)
    return Message(
        name=node.name.text,
        raster=head.defaults.raster or MAX_RASTER,
        language=head.language.text if head.language else DEFAULT_LANGUAGE,
        language_span=head.language.span if head.language else None,
        clocks=everything.clocks,
        shifts=everything.shifts,
        counters=everything.counters,
        inputs={
            name: with_keys(given, everything.products, problems)
            for name, given in everything.inputs.items()
        },
        tables=everything.tables | printed_columns(blocks, everything),
        texts=everything.texts,
        checks=everything.checks,
        blocks=blocks,
        requires=_requires(node, problems),
        expects=_expects(node, everything, scope),
        span=node.span,
        raster_span=head.raster_span,
        folder=folder,
        silences=_silences(node, problems),
        products=everything.products,
        gaps=Gaps({**scope.lost, **everything.doubtful}, not scope.complete),
    )


def _everything(
    node: s.MessageNode,
    own: Mapping[str, s.Declaration],
    declared: Declared,
    shared: Declared,
) -> Declared:
    """Its own declarations, and of the shared ones those that it reaches."""
    start = [*own]
    for item in node.body:
        if isinstance(item, s.BlockNode):
            for line in item.content:
                if isinstance(line, s.LineNode):
                    start += names_in(line.pieces)
        elif isinstance(item, s.ExpectNode):
            start += [c.name.text for c in item.conditions if isinstance(c, s.Given)]
    names = reached(start, lambda name: declared.refers.get(name) or shared.refers.get(name, []))
    from_shared = shared.only(names)
    return Declared(
        clocks=from_shared.clocks | declared.clocks,
        shifts=from_shared.shifts | declared.shifts,
        counters=from_shared.counters | declared.counters,
        inputs=from_shared.inputs | declared.inputs,
        tables=from_shared.tables | declared.tables,
        products=from_shared.products | declared.products,
        texts=from_shared.texts | declared.texts,
        checks=from_shared.checks | declared.checks,
        doubtful=from_shared.doubtful | declared.doubtful,
    )


# -- settings ------------------------------------------------------------------------------------


# -- blocks and contract -------------------------------------------------------------------------


def _blocks(node: s.MessageNode, defaults: Defaults, scope: Scope) -> tuple[Block, ...]:
    nodes = [item for item in node.body if isinstance(item, s.BlockNode)]
    if not nodes and scope.whole:
        help = 'add for example: block { line font upright-7 : "TEXT" }'
        message = f'the message "{node.name.text}" prints nothing'
        scope.problems.add("empty", message, node.name.span, help)
    blocks: list[Block] = []
    for index, item in enumerate(nodes):
        with scope.problems.catching():
            blocks.append(block(item, index == 0, defaults, scope))
    return tuple(blocks)


def _requires(node: s.MessageNode, problems: Problems) -> tuple[Require, ...]:
    found: list[Require] = []
    for item in node.body:
        if isinstance(item, s.RequireNode):
            with problems.catching():
                found.append(require(item))
    return tuple(found)


def _expects(node: s.MessageNode, declared: Declared, scope: Scope) -> tuple[Expect, ...]:
    needs_at = any(clock.zone is not None for clock in declared.clocks.values())
    counters = {n: c for n, c in declared.counters.items() if n not in declared.doubtful}
    found: list[Expect] = []
    for item in node.body:
        if isinstance(item, s.ExpectNode):
            with scope.problems.catching():
                found.append(expect(item, counters, needs_at, scope))
    return tuple(found)


def _silences(node: s.MessageNode, problems: Problems) -> tuple[Silence, ...]:
    places: list[tuple[s.SilenceNode, Span | None]] = []
    for item in node.body:
        if isinstance(item, s.SilenceNode):
            places.append((item, None))
        elif isinstance(item, s.BlockNode):
            inside = (part for part in item.content if isinstance(part, s.SilenceNode))
            places += [(part, item.span) for part in inside]
    found: list[Silence] = []
    for item, block_span in places:
        with problems.catching():
            found.append(silence(item, block_span))
    return tuple(found)


def choose(messages: Mapping[str, T], name: str | None, file: str) -> T:
    """The message of a name, or the only one: whatever is kept under the names of messages.

    Raises:
        InputError: there is no such message, or no name was given and there are several.
    """
    if not messages:
        raise InputError.one(
            "no-message", f"{file} holds no message", help="add one: message NAME { ... }"
        )
    if name is None and len(messages) > 1:
        listed = ", ".join(messages)
        raise InputError.one(
            "which-message", f"{file} holds several messages", help=f"choose one of: {listed}"
        )
    if name is not None and name not in messages:
        raise InputError.one(
            "unknown-message",
            f'{file} holds no message "{name}"',
            help=did_you_mean(name, messages),
        )
    return messages[name] if name is not None else next(iter(messages.values()))
