"""rasterc: from what a product must carry to the drops a continuous inkjet coder prints.

import rasterc

code = rasterc.load("best-before.rasterc")
print(code.resolve("2027-11-25 14:05").strokes().art())
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from rasterc.lazy import lazy_names

if TYPE_CHECKING:
    from rasterc.api import diff, load, load_all, load_text
    from rasterc.checks.model import Finding
    from rasterc.code import Code
    from rasterc.diagnostics import Diagnostic, InputError
    from rasterc.ledger.book import Ledger
    from rasterc.plant import Plant, load_plant
    from rasterc.printed import Checker, Print
    from rasterc.profile.load import load_profile
    from rasterc.source.formatting.format import format_text
    from rasterc.values.model import Instant

__version__ = "0.1.0"

__all__ = [
    "Checker",
    "Code",
    "Diagnostic",
    "Finding",
    "InputError",
    "Instant",
    "Ledger",
    "Plant",
    "Print",
    "diff",
    "format_text",
    "load",
    "load_all",
    "load_plant",
    "load_profile",
    "load_text",
]


def __dir__() -> list[str]:
    return __all__


__getattr__ = lazy_names(
    __name__,
    api="diff load load_all load_text",
    checks__model="Finding",
    code="Code",
    diagnostics="Diagnostic InputError",
    ledger__book="Ledger",
    plant="Plant load_plant",
    printed="Checker Print",
    profile__load="load_profile",
    source__formatting__format="format_text",
    values__model="Instant",
)
