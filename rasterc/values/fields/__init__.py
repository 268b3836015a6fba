"""Fields: what a declared name prints, and the options applied to it."""
