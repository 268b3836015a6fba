"""`rasterc check`. Read `command` first."""
