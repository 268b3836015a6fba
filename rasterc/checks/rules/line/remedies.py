"""Words and numbers of remedies."""

from __future__ import annotations


def drops_in_words(numbers: list[int]) -> str:
    """Rasters that can be used instead."""
    return " or ".join(str(n) for n in numbers)


def rounded_down(speed_m_s: float) -> float:
    """Rounded down, so that the remedy itself passes."""
    return int(speed_m_s * 100) / 100
