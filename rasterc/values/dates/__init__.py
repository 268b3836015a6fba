"""Time: zones, clocks and their steps, shifts, date patterns and the names they print.

Read `clocks` first (what a clock shows), with `steps` (dates moved) and `shifts`. `patterns` has
the date letters, which print the `parts` of a date, read of one day or of many (`days`);
`languages` has the names. `zones` finds time zones, `offsets` and `zonefile` say when their clocks
change.
"""
