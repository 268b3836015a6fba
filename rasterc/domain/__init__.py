"""Every text a message can print, over time, counters and inputs.

A plan and a stretch of time come in. Read `atoms` first, which takes lines apart, and `timeline`,
which cuts time into cells (`horizon` is the stretch, `tracks` one clock or shift, `calendar` the
arithmetic of days). `printer` prints atoms by the cell, the minute and the second; `clockwork` has
all that goes by the minute, `texts` and `codes` hold what was printed. `words` says what a counter
or an input can be, as one kind of object: `counterwords` and `inputwords` make them, `layers` are
the moves of their automata, `weighing` finds the heaviest, `chosen` and `templates` those that fit
what was read. `typed` has the days that typed dates may be, laid out as time is. `fieldtexts` and
`reach` say what a field and a date letter print at most. `progress` tells of long searches.
"""
