"""Dot fonts: model, file formats, library and audit.

A font file, or a name, comes in; a `Font` goes out. Read `model` first, then `library`, which
finds fonts by name, and `load`, which reads a file of any kind: `bdf` (with `bdf_glyph`), `pcf`,
`art` and `outline`. `bitmap` settles what BDF and PCF leave open, `charset` what their codes
stand for, `faults` reports what is wrong. `bdf_write` and `art` write; `audit` compares
characters.
"""
