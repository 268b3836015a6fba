"""Scripts, not tests: they are run by hand, and import `stopwatch` from beside them."""

collect_ignore_glob = ["*.py"]
