"""The readers' program is run by its tests, in processes with limits; it is not collected."""

collect_ignore = ["readers.py", "mutate.py"]
