"""How the names of message files end."""

SUFFIX = ".rasterc"
