"""`rasterc font`. Read `command` first."""
