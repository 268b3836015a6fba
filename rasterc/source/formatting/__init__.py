"""The formatter: the one canonical way to write a message file."""
