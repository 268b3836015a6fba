"""Names and kinds: from the syntax tree to typed messages.

The tree of a file comes in, with what the files that it uses declare; messages go out, whole or
with their `Gaps`. Read `analyse` first. One module for each kind of statement (`clocks`,
`counters`, `inputs`, `tables`, `lines`, `promises`) says how it is read; `phrases` reads the
options of all of them, `declared` gathers what they made, `references` holds who refers to whom,
and `scope` what is known and wrong so far.
"""
