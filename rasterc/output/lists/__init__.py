"""Lists of messages as files."""
