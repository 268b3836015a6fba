"""Build hook: puts the parser's tables, ready made, beside the grammar in the wheel."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface


class TablesHook(BuildHookInterface):  # type: ignore[type-arg]
    """Builds the tables for a wheel. An editable install builds them at each start instead."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Write the tables to a temporary file and have it put into the wheel."""
        if version == "editable":
            return
        sys.path.insert(0, self.root)
        import lark

        from rasterc.source.tree.grammar import build, tables_name

        folder = Path(tempfile.mkdtemp())
        name = tables_name(lark.__version__)
        with (folder / name).open("wb") as file:
            build().save(file)
        build_data["force_include"][str(folder / name)] = f"rasterc/data/grammar/{name}"
