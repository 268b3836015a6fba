"""Names of a package that are imported when first asked for.

`rasterc --help` must not wait for numpy and lark, and one name of a room must not bring in all the
room. A package writes its public names twice: as imports under TYPE_CHECKING for readers and type
checkers, and by their modules for `lazy_names`.
"""

from __future__ import annotations

import importlib
from collections.abc import Callable
from typing import Any


def lazy_names(package: str, **modules: str) -> Callable[[str], Any]:
    """A module ``__getattr__`` that finds names in the package's own modules.

    Args:
        package: the package's ``__name__``.
        modules: for each module of the package, the names it gives, separated by blanks; dots in
            a module's name are written as two underscores.
    """
    homes = {
        name: f"{package}.{module.replace('__', '.')}"
        for module, names in modules.items()
        for name in names.split()
    }

    def __getattr__(name: str) -> Any:  # noqa: N807 - it becomes the package's
        if name not in homes:
            raise AttributeError(f"module {package!r} has no attribute {name!r}")
        return getattr(importlib.import_module(homes[name]), name)

    return __getattr__
