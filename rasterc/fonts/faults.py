"""Reporting the faults of a font file: in the order of the file, and not without end."""

from __future__ import annotations

from collections.abc import Sequence

from rasterc.diagnostics import Diagnostic, InputError

MAX_REPORTED = 50


def raise_faults(faults: Sequence[Diagnostic]) -> None:
    """Raise `InputError` with the faults in the order of the file, if there are any."""
    if not faults:
        return
    ordered = sorted(faults, key=lambda fault: fault.span.start if fault.span else -1)
    shown = ordered[:MAX_REPORTED]
    if len(ordered) > MAX_REPORTED:
        shown.append(Diagnostic("more-faults", f"there are more faults than these {MAX_REPORTED}"))
    raise InputError(shown)
