"""From the parser's generic tree to the nodes of `rasterc.source.tree.syntax`."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any, cast

from rasterc.diagnostics import Diagnostic, SourceText, Span
from rasterc.source.pieces import Field, Literal, Piece, Word
from rasterc.source.quoting import column_word, quoted_word, split_arguments
from rasterc.source.tree import syntax as s

if TYPE_CHECKING:
    from lark import Token, Tree


class Builder:
    """Builds the nodes of one file.

    Statements that hold a syntax error (an offset of ``broken_at``) are left out. Wrong escapes
    are added to ``problems``.
    """

    def __init__(self, source: SourceText, broken_at: Sequence[int]) -> None:
        self.source = source
        self.problems: list[Diagnostic] = []
        self._broken_at = sorted(broken_at)

    def file(self, tree: Tree[Token]) -> s.File:
        """The whole file."""
        return s.File(self.source, tuple(self._nodes(tree.children)))

    # -- helpers ---------------------------------------------------------------------------------

    def _node(self, tree: Tree[Token]) -> Any:
        return getattr(self, f"_{tree.data}")(tree)

    def _nodes(self, children: Iterable[Tree[Token] | Token]) -> list[Any]:
        """The nodes of statements, broken ones left out; a message or block survives its parts."""
        trees = [cast("Tree[Token]", child) for child in children]
        return [
            self._node(tree)
            for tree in trees
            if tree.data in ("message", "block") or not self._is_broken(tree)
        ]

    def _is_broken(self, tree: Tree[Token]) -> bool:
        found = bisect_left(self._broken_at, tree.meta.start_pos)
        return found < len(self._broken_at) and self._broken_at[found] < tree.meta.end_pos

    def _span(self, tree: Tree[Token]) -> Span:
        return Span(self.source, tree.meta.start_pos, tree.meta.end_pos)

    def _token_span(self, token: Token) -> Span:
        return Span(self.source, cast(int, token.start_pos), cast(int, token.end_pos))

    def _word(self, child: Any) -> Word:
        span = self._token_span(child)
        if child.type == "STRING" and child:
            return quoted_word(span, self.problems)
        if child.type == "COLUMN":
            return column_word(span, self.problems)
        return Word(str(child), span)

    def _words(self, children: Iterable[Any]) -> tuple[Word, ...]:
        return tuple(self._word(child) for child in children)

    def _optional(self, children: Sequence[Any], index: int) -> Word | None:
        return self._word(children[index]) if index < len(children) else None

    # -- outside and around messages -------------------------------------------------------------

    def _use(self, tree: Tree[Token]) -> s.Use:
        return s.Use(self._word(tree.children[0]), self._span(tree))

    def _message(self, tree: Tree[Token]) -> s.MessageNode:
        name, *body = tree.children
        return s.MessageNode(self._word(name), tuple(self._nodes(body)), self._span(tree))

    def _setting(self, tree: Tree[Token]) -> s.Setting:
        keyword, value = self._words(tree.children)
        return s.Setting(keyword, value, self._span(tree))

    # -- declarations ----------------------------------------------------------------------------

    def _clock_read(self, tree: Tree[Token]) -> s.ClockRead:
        name, zone, *day_from = self._words(tree.children)
        return s.ClockRead(name, zone, day_from[0] if day_from else None, self._span(tree))

    def _clock_derived(self, tree: Tree[Token]) -> s.ClockDerived:
        name, start, *rest = cast("list[Any]", tree.children)
        steps = [self._node(child) for child in rest if hasattr(child, "data")]
        return s.ClockDerived(
            self._word(name),
            self._words(start.children),
            tuple(steps),
            self._optional(rest, len(steps)),
            self._span(tree),
        )

    def _offset(self, tree: Tree[Token]) -> s.OffsetStep:
        sign, amount, unit = self._words(tree.children)
        return s.OffsetStep(sign, amount, unit, self._span(tree))

    def _move(self, tree: Tree[Token]) -> s.MoveStep:
        return s.MoveStep(self._words(tree.children), self._span(tree))

    def _shift(self, tree: Tree[Token]) -> s.ShiftNode:
        name, clock, *rest = cast("list[Any]", tree.children)
        nodes = [self._node(child) for child in rest]
        roster = nodes.pop(0) if nodes and isinstance(nodes[0], s.RosterNode) else None
        return s.ShiftNode(
            self._word(name), self._word(clock), roster, tuple(nodes), self._span(tree)
        )

    def _roster(self, tree: Tree[Token]) -> s.RosterNode:
        amount, unit, start = self._words(tree.children)
        return s.RosterNode(amount, unit, start, self._span(tree))

    def _shift_part(self, tree: Tree[Token]) -> s.ShiftRow:
        label, start, *days = cast("list[Any]", tree.children)
        ranges = tuple(self._words(day.children) for day in days)
        return s.ShiftRow(self._word(label), self._word(start), ranges, self._span(tree))

    def _counter(self, tree: Tree[Token]) -> s.CounterNode:
        name, first, *rest = cast("list[Any]", tree.children)
        down = rest[0].type == "DOWN"
        last, *options = rest[down:]
        return s.CounterNode(
            self._word(name),
            self._word(first),
            self._word(last),
            down,
            self._phrases(options),
            self._span(tree),
        )

    def _phrases(self, trees: Sequence[Tree[Token]]) -> tuple[s.Phrase, ...]:
        return tuple(s.Phrase(self._words(tree.children), self._span(tree)) for tree in trees)

    def _input(self, tree: Tree[Token]) -> s.InputNode:
        name, *options = cast("list[Any]", tree.children)
        return s.InputNode(self._word(name), self._phrases(options), self._span(tree))

    def _table(self, tree: Tree[Token]) -> s.TableNode:
        name, *rest = cast("list[Any]", tree.children)
        rows: tuple[s.TableRow, ...] | None = None
        if rest and rest[-1].data == "rows":
            rows = tuple(self._node(row) for row in rest.pop().children)
        return s.TableNode(self._word(name), self._phrases(rest), rows, self._span(tree))

    def _keyed_row(self, tree: Tree[Token]) -> s.TableRow:
        key, text = self._words(tree.children)
        return s.TableRow(key, text, self._span(tree))

    def _row(self, tree: Tree[Token]) -> s.TableRow:
        return s.TableRow(None, self._word(tree.children[0]), self._span(tree))

    def _text(self, tree: Tree[Token]) -> s.TextNode:
        name, *pieces = tree.children
        return s.TextNode(self._word(name), self._pieces(pieces), self._span(tree))

    def _check(self, tree: Tree[Token]) -> s.CheckNode:
        name, algorithm, *pieces = tree.children
        return s.CheckNode(
            self._word(name), self._word(algorithm), self._pieces(pieces), self._span(tree)
        )

    # -- pieces and blocks -----------------------------------------------------------------------

    def _pieces(self, children: Iterable[Any]) -> tuple[Piece, ...]:
        return tuple(
            self._node(child) if hasattr(child, "data") else self._literal(child)
            for child in children
        )

    def _literal(self, token: Token) -> Literal:
        word = self._word(token)
        return Literal(word.text, word.span)

    def _field(self, tree: Tree[Token]) -> Field:
        name, *arguments = cast("list[Token]", tree.children)
        split = (
            split_arguments(self._token_span(arguments[0]), self.problems)
            if arguments and arguments[0]
            else ()
        )
        return Field(self._word(name).text, split, self._span(tree))

    def _block(self, tree: Tree[Token]) -> s.BlockNode:
        words, *content = cast("list[Any]", tree.children)
        return s.BlockNode(
            self._words(words.children), tuple(self._nodes(content)), self._span(tree)
        )

    def _line(self, tree: Tree[Token]) -> s.LineNode:
        words, *pieces = cast("list[Any]", tree.children)
        return s.LineNode(self._words(words.children), self._pieces(pieces), self._span(tree))

    def _picture(self, tree: Tree[Token]) -> s.PictureNode:
        path, words = cast("list[Any]", tree.children)
        return s.PictureNode(self._word(path), self._words(words.children), self._span(tree))

    def _symbol(self, tree: Tree[Token]) -> s.SymbolNode:
        kind, words, *pieces = cast("list[Any]", tree.children)
        return s.SymbolNode(
            self._word(kind), self._words(words.children), self._pieces(pieces), self._span(tree)
        )

    # -- contract --------------------------------------------------------------------------------

    def _require(self, tree: Tree[Token]) -> s.RequireNode:
        measure, comparison, limit, *unit = self._words(tree.children)
        return s.RequireNode(
            measure, comparison, limit, unit[0] if unit else None, self._span(tree)
        )

    def _expect(self, tree: Tree[Token]) -> s.ExpectNode:
        children = cast("list[Any]", tree.children)
        conditions = [self._node(child) for child in children if hasattr(child, "data")]
        lines = [self._literal(child) for child in children[len(conditions) :]]
        return s.ExpectNode(tuple(conditions), tuple(lines), self._span(tree))

    def _silence(self, tree: Tree[Token]) -> s.SilenceNode:
        rule, reason = self._words(tree.children)
        return s.SilenceNode(rule, reason, self._span(tree))

    def _moment(self, tree: Tree[Token]) -> s.Moment:
        word, date, time, *offset = self._words(tree.children)
        return s.Moment(word, date, time, offset[0] if offset else None, self._span(tree))

    def _given(self, tree: Tree[Token]) -> s.Given:
        name, value = self._words(tree.children)
        return s.Given(name, value, self._span(tree))
