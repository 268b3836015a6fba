"""Product tables: CSV files (RFC 4180) beside the message, read with every fault at its place."""
