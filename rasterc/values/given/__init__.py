"""Values that do not come from a clock: counters, inputs, tables, check characters."""
