"""Rules a message is held against.

A message at an instant, on a line, comes in as a `Subject`; `Finding`s go out. Read `model` first
(what a rule is), then `subject` (what rules look at) and `registry` (which rules there are, and
what they find at one instant). `survey` holds a message against them over all its values: at
`edges` and `lives`, and at the extremes; `coverage` says which verdicts that proves. `measures`
is what `require` can measure, `silence` what a message accepts.

`printed` is what a print says to its reader; `rules` are the rules, to which `flown`, `pace`,
`samples`, `examples` and `clock_changes` lend what several of them need.
"""
