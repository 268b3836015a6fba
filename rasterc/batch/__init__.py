"""One message many times over: by a count or by rows of data, in blocks of arrays.

Rows of values (`source`, `given`) become columns of texts (`texts`), texts become strokes
(`strokes`), blocks are written in parts (`parts`, `writers`). A block prints, row by row, what
`Plan.resolve` and the layout give for the same values, drop for drop; what the columns cannot tell
is resolved one row at a time.
"""
