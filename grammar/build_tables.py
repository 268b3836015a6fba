"""Build hook: makes the parser's tables, so that no start has to.

A wheel carries them beside its grammar. An editable install reads the grammar of the checkout, and
its tables are put there; after a change of the grammar they fit no more and are made at each start,
until the next install.
"""

from __future__ import annotations

import sys
import tempfile
from contextlib import suppress
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface


class TablesHook(BuildHookInterface):  # type: ignore[type-arg]
    """Makes the tables for the grammar and the lark release at hand."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Write the tables: beside the grammar, or to where a wheel takes them from."""
        sys.path.insert(0, self.root)
        import lark

        from rasterc.source.tree.grammar import build, tables_name

        grammar = Path(self.root, "grammar")
        text = (grammar / "message.lark").read_text(encoding="utf-8")
        name = tables_name(text, lark.__version__)
        if version == "editable":
            with suppress(OSError):  # a checkout that cannot be written to does without
                _write(build(text), grammar / name)
            return
        made = Path(tempfile.mkdtemp(), name)
        _write(build(text), made)
        build_data["force_include"][str(made)] = f"rasterc/data/grammar/{name}"


def _write(parser: Any, path: Path) -> None:
    """Write the tables under another name first: a start may be reading."""
    unfinished = path.with_suffix(".unfinished")
    with unfinished.open("wb") as file:
        parser.save(file)
    unfinished.replace(path)
