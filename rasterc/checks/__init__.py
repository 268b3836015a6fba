"""Rules a message is held against."""
