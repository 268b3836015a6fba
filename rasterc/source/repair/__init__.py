"""Mistakes of syntax: a parser that says what is wrong, mends the text and reads on.

A text with mistakes comes in; a tree and all diagnostics go out. Read `recover` first, then
`repairs`; `cursor` and `machine` are what they move, `wording` is what they say.
"""
