"""One file for each rule, called as its id, in a room for each family.

`message` (the message itself), `clocks`, `dates`, `lives` and `leads` (what is promised, and how
it is said), `codes` and `elements` (what tells products apart), `legibility`, `line` and `flight`
(can it be printed and read), `laws` (what only chosen rule sets ask). A module that is put into one
of them is found by the registry. What several rules of a family share stands beside them in a
module without a rule: `examples`, `sources`, and a few that are called for what they know.
"""
