"""Minutes and moments, by the name this room first gave them."""

from rasterc.values.offsets import moment_of

__all__ = ["moment_of"]
