"""How drops are drawn with characters. Apart from `terminal`, so that it costs nothing to name."""

from enum import StrEnum


class TerminalStyle(StrEnum):
    """How drops are drawn with characters."""

    BLOCK = "block"  # half blocks: two rows in a line
    BRAILLE = "braille"  # 2 x 4 drops in a character: the smallest
    DOTS = "dots"  # a round dot for a drop: nearest to print
    PLAIN = "plain"  # "#" and ".": any terminal, any file
