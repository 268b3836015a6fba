"""`rasterc diff`. Read `command` first."""
