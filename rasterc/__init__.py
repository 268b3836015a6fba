"""rasterc: from what a product must carry to the drops a continuous inkjet coder prints.

import rasterc

code = rasterc.load("best-before.rasterc")
print(code.resolve("2027-11-25 14:05").strokes().art())
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from rasterc.api import Code, Print, load, load_all, load_text
    from rasterc.diagnostics import Diagnostic, InputError
    from rasterc.profile.load import load_profile
    from rasterc.source.format import format_text
    from rasterc.values.model import Instant

__version__ = "0.1.0"

__all__ = [
    "Code",
    "Diagnostic",
    "InputError",
    "Instant",
    "Print",
    "format_text",
    "load",
    "load_all",
    "load_profile",
    "load_text",
]

_HOMES = {
    **dict.fromkeys(("Code", "Print", "load", "load_all", "load_text"), "rasterc.api"),
    **dict.fromkeys(("Diagnostic", "InputError"), "rasterc.diagnostics"),
    "load_profile": "rasterc.profile.load",
    "format_text": "rasterc.source.format",
    "Instant": "rasterc.values.model",
}


def __getattr__(name: str) -> Any:
    """Import a public name on first use: `rasterc --help` must not wait for numpy."""
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    import importlib

    return getattr(importlib.import_module(_HOMES[name]), name)
