"""One file per family of rules. A module dropped in here is found by the registry."""
