"""Pictures, files and words of what other rooms found.

Finished results come in; bytes, or lines of at most 80 columns, go out. `code` writes strokes,
`fonts` shows fonts, `reports` tells findings to other programs; none of them knows another. The
modules beside them tell flights (`fly_*`), jets (`jet_*`) and fits; read `fly_text` first.
`landings` draws drops where they landed.
"""
