"""`rasterc list`: the messages of a plant."""
