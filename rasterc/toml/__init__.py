"""TOML files read by types: every fault with its line, what the keys mean, JSON Schema."""
