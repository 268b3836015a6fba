"""The line profile: head, raster timing, throw, line, ink and surface."""
