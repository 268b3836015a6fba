"""From a printed text back to what printed it, and what two versions print differently.

Both look at whole years of minutes at once: time is cut into the cells of `rasterc.domain`, in
which every clock shows one day and one shift runs; within a cell only the time of day goes on.

Back to what printed it: `trace` asks, `matches` is answered. `terms_of` makes of a line what can
be matched (`terms`) against what was read (`templates`), `candidates` gathers what is left,
`verify` works out check characters. Two versions: `diff` asks, `differences` is answered;
`declared` compares declarations, `compare` lines, by `given` and `columns`; `lengths` and `ruler`
measure.
"""
