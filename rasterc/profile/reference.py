"""The keys of a line profile as text."""

from __future__ import annotations

from rasterc.profile.model import LineProfile
from rasterc.toml.reference import reference as reference_of


def reference() -> str:
    """Every key with its meaning, range and default."""
    return reference_of(LineProfile, "A line profile")
