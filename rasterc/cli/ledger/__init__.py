"""`rasterc ledger`: `command` and `keeping` are its commands, `shown` what they say."""
