"""Strokes as files and pictures.

Strokes come in; bytes go out, or lines for the terminal. Read `write` first: it chooses by the
suffix of the file. `kinds` has one module for each kind of file, `terminal` draws there; `geometry`
holds the sizes that pictures are drawn with, `labels` the field names under them, `at_speed` how
strokes look at a line speed.
"""
