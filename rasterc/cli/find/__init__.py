"""`rasterc find`."""
