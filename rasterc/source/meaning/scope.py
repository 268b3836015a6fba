"""What analysis carries along: the problems found so far and the names that are known."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from itertools import islice

from msgspec import Struct, field

from rasterc.diagnostics import Diagnostic, InputError, Span, did_you_mean
from rasterc.source.parse import MAX_FAULTS
from rasterc.source.products.sheet import Sheet
from rasterc.source.tree.syntax import KIND_NAMES, Declaration, InputNode

_MAX_SUGGESTED = 500  # names compared for "did you mean"


class Problems(Struct):
    """The diagnostics of one analysis, each once."""

    found: dict[Diagnostic, None] = field(default_factory=dict)
    undeclared: set[str] = field(default_factory=set)  # names reported as such

    @property
    def full(self) -> bool:
        """Whether more diagnostics would not be shown anyway."""
        return len(self.found) > MAX_FAULTS

    def add(self, code: str, message: str, span: Span | None, help: str = "") -> None:
        """Note one more mistake."""
        if not self.full:
            self.found[Diagnostic(code, message, span, help)] = None

    def take(self, faults: Iterable[Diagnostic]) -> None:
        """Note more mistakes, as far as they would be shown."""
        for diagnostic in faults:
            if not self.full:
                self.found[diagnostic] = None

    @contextmanager
    def catching(self) -> Iterator[None]:
        """Note the mistakes that stop the block, and go on behind it."""
        try:
            yield
        except InputError as error:
            self.take(error.diagnostics)


class Scope(Struct, frozen=True):
    """The declarations that can be named, and where problems go.

    ``lost`` are names declared in statements that could not be read, and as what; ``whole`` is
    False when there are such statements, so that what seems to be missing is not reported.
    ``read_clocks`` are the clocks read from the instant. ``complete`` is False when a file that is
    used, or a declaration without a name, could not be read: any name may be declared there.
    ``sheets`` are the files of product tables, by the place of their declaration.
    """

    nodes: Mapping[str, Declaration]
    problems: Problems
    lost: Mapping[str, str] = field(default_factory=dict)
    whole: bool = True
    read_clocks: tuple[str, ...] = ()
    complete: bool = True
    sheets: Mapping[Span, Sheet] = field(default_factory=dict)

    def need(self, name: str, span: Span, *kinds: str) -> None:
        """Make sure that ``name`` is declared as one of ``kinds`` ("clock", "shift", ...).

        Raises:
            InputError: it is not; without a diagnostic when that has been reported.
        """
        if name in self.lost or self.problems.full:
            return
        node = self.nodes.get(name)
        wanted = _with_article(kinds)
        if node is None and not self.complete:
            return
        if node is None:
            if name in self.problems.undeclared:
                raise InputError(())
            self.problems.undeclared.add(name)
            fitting = (n for n, d in self.nodes.items() if not kinds_of(d).isdisjoint(kinds))
            near = islice(fitting, _MAX_SUGGESTED)
            raise InputError.one(
                "unknown-name",
                f'"{name}" is not declared; {wanted} is needed here',
                span,
                did_you_mean(name, near) or f"declare it: {kinds[0]} {name} ...",
            )
        if kinds_of(node).isdisjoint(kinds):
            raise InputError.one(
                "wrong-kind",
                f'"{name}" is {_with_article([kind_of(node)])}; {wanted} is needed here',
                span,
                f"it is declared in {place_of(node.name.span)}",
            )


def kind_of(node: Declaration) -> str:
    """ "clock", "shift", ..."""
    return KIND_NAMES[type(node)]


def kinds_of(node: Declaration) -> frozenset[str]:
    """What a declaration can be used as: an input that is a date is a clock too."""
    is_date = isinstance(node, InputNode) and any(
        not (first := phrase.words[0]).quoted and first.text == "date" for phrase in node.options
    )
    return frozenset({kind_of(node), *(["clock"] if is_date else [])})


def place_of(span: Span) -> str:
    """``line 4``, with the file's name when texts of several files may meet."""
    return f"{span.source.name}, line {span.line}"


def _with_article(kinds: tuple[str, ...] | list[str]) -> str:
    *first, last = kinds
    words = f"{', '.join(first)} or {last}" if first else last
    return f"an {words}" if words[0] in "aeiou" else f"a {words}"
