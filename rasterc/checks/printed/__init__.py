"""What a print says to its reader: dates, the words that lead to them, elements of a code.

A `Subject` comes in; what a person reads off the pack goes out. Read `tokens` first, which takes
lines apart, then `dates`, which finds the dates among them, and `durability`: how long they say
that a product keeps. `leads` and `introduced` tell fields by the words before them, listed in
`lead_words`; `written` finds dates written out by hand. `elements` are those of GS1 codes;
`alphabets`, `literals` and `numbers` tell what can stand at a place, and beside it.
"""
