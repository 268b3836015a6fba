"""`rasterc watch`: look again whenever a file changes."""
