"""`rasterc batch`: `command` is the command, `asked` makes a job of what was asked, `said` tells
what came of it."""
