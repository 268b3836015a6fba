"""Pictures, files and words of what other rooms found.

Finished results come in; bytes, or lines of at most 80 columns, go out. `code` writes strokes,
`fonts` shows fonts, `flights` and `jets` tell what was flown and worked out of heads, `reports`
tells findings to other programs. None of them knows another, but that jets speak with the words
and diagrams of flights.
"""
