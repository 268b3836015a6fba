"""Time: zones, clocks and their steps, shifts, date patterns and the names they print."""
