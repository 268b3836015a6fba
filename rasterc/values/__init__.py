"""Where values come from: clocks, shifts, counters, inputs, tables, check characters."""
