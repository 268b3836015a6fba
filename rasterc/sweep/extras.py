"""Packages that come with an extra of rasterc, imported where they are used."""

from __future__ import annotations

import importlib
from typing import Any

from rasterc.diagnostics import InputError


def needed(module: str, extra: str, purpose: str) -> Any:
    """A module of an optional package; `InputError` names the extra when it is not installed."""
    try:
        return importlib.import_module(module)
    except ImportError:
        package = module.partition(".")[0]
        raise InputError.one(
            "missing-package",
            f"{purpose} needs the package {package}, which is not installed",
            help=f'pip install "rasterc[{extra}]"',
        ) from None
